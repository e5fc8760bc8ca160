"""From the light of a rendered scene to the picture: how bright, and how white comes near to white.

Figures are settings, by eye, unless a source stands beside them.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from studio.trade.ranges import FloatArray

# Settings of the picture, by eye.
EXPOSURE: Final = 0.66
SHOULDER: Final = 0.7
"""Up to here light is shown as it is; above, it comes nearer and nearer to white and never burns out."""


def developed(light: FloatArray) -> FloatArray:
    """The picture of linear light (h, w, 3): sRGB from 0 to 1. Source of the encoding: IEC 61966-2-1.

    >>> developed(np.array([[[0.5, 0.5, 0.5]]]) / EXPOSURE).round(3).tolist()
    [[[0.735, 0.735, 0.735]]]
    """
    shown = np.maximum(light * EXPOSURE, 0.0)
    room = 1 - SHOULDER
    rolled = SHOULDER + room * (1 - np.exp(-np.maximum(shown - SHOULDER, 0.0) / room))
    toned = np.where(shown > SHOULDER, rolled, shown)
    encoded = np.where(toned <= 0.0031308, 12.92 * toned, 1.055 * toned ** (1 / 2.4) - 0.055)
    return np.asarray(np.clip(encoded, 0.0, 1.0))
