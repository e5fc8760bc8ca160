"""The complete elliptic integral of the second kind, loaded when it is first needed.

scipy.special takes longer to import than NumPy and everything else here together; most take-offs need none of it.
"""

from __future__ import annotations


def complete_e(m: float) -> float:
    """E(m), parameter m = k^2 (scipy.special.ellipe).

    >>> round(complete_e(0.75), 6)
    1.211056
    """
    from scipy.special import ellipe

    return float(ellipe(m))
