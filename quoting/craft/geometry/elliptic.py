"""Elliptic integrals of the second kind, loaded when they are first needed.

scipy.special takes longer to import than NumPy and everything else here together; most take-offs need none of it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def complete_e(m: float) -> float:
    """E(m), parameter m = k^2 (scipy.special.ellipe)."""
    from scipy.special import ellipe

    return float(ellipe(m))


def incomplete_e(phi: Array | float, m: float) -> Array:
    """E(phi, m), amplitude phi [rad], parameter m = k^2 (scipy.special.ellipeinc)."""
    from scipy.special import ellipeinc

    return np.asarray(ellipeinc(phi, m), dtype=np.float64)
