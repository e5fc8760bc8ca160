"""From the light of a rendered scene to the picture: how bright, and how white comes near to white.

Figures are settings, by eye, unless a source stands beside them.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from scipy.ndimage import gaussian_filter

from studio.trade.ranges import FloatArray

# Settings of the picture, by eye.
EXPOSURE: Final = 0.66
SHOULDER: Final = 0.7
"""Up to here light is shown as it is; above, it comes nearer and nearer to white and never burns out."""


GLOW_FROM: Final = 1.5  # setting, by eye
"""Brighter light spreads into what is around it, as it does in a lens."""
GLOWS: Final = ((0.004, 0.5), (0.018, 0.35))
"""How far, as a share of the picture's width, and how much of it (settings, by eye)."""


def glowing(light: FloatArray) -> FloatArray:
    """Linear light (h, w, 3) with a soft glow round whatever is brighter than white.

    >>> lamp = np.zeros((9, 9, 3))
    >>> lamp[4, 4] = 4.0
    >>> glow = glowing(lamp)
    >>> bool(glow[4, 4, 0] > 4.0) and bool((glowing(np.ones((9, 9, 3))) == 1.0).all())
    True
    """
    over = np.maximum(light - GLOW_FROM, 0.0)
    if not over.any():
        return light
    wide = light.shape[1]
    return light + sum(
        share * gaussian_filter(over, (reach * wide, reach * wide, 0)) for reach, share in GLOWS
    )


def developed(light: FloatArray) -> FloatArray:
    """The picture of linear light (h, w, 3): sRGB from 0 to 1. Source of the encoding: IEC 61966-2-1.

    >>> developed(np.array([[[0.5, 0.5, 0.5]]]) / EXPOSURE).round(3).tolist()
    [[[0.735, 0.735, 0.735]]]
    """
    shown = np.maximum(glowing(light) * EXPOSURE, 0.0)
    room = 1 - SHOULDER
    rolled = SHOULDER + room * (1 - np.exp(-np.maximum(shown - SHOULDER, 0.0) / room))
    toned = np.where(shown > SHOULDER, rolled, shown)
    return encoded(toned)


def encoded(light: FloatArray) -> FloatArray:
    """Linear light from 0 to 1 as sRGB. Source: IEC 61966-2-1.

    >>> encoded(np.array([0.0, 0.5, 1.0])).round(3).tolist()
    [0.0, 0.735, 1.0]
    """
    shown = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 0) ** (1 / 2.4) - 0.055)
    return np.asarray(np.clip(shown, 0.0, 1.0))


def decoded(shown: FloatArray) -> FloatArray:
    """sRGB from 0 to 1 as linear light. Source: IEC 61966-2-1.

    >>> decoded(np.array([0.0, 0.735357, 1.0])).round(3).tolist()
    [0.0, 0.5, 1.0]
    """
    return np.asarray(np.where(shown <= 0.04045, shown / 12.92, ((shown + 0.055) / 1.055) ** 2.4))
