"""The search tree for neighbours, loaded when it is first needed.

scipy.spatial takes longer to import than everything else here together; a page that shows no set piece need not
wait for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from scipy.spatial import cKDTree


def search_tree(points: NDArray[np.float64]) -> cKDTree:
    """A k-d tree over points [m], shape (n, 3) (scipy.spatial.cKDTree).

    >>> import numpy as np
    >>> search_tree(np.array([(0.0, 0.0), (1.0, 0.0), (5.0, 0.0)])).query_pairs(2.0)
    {(0, 1)}
    """
    from scipy.spatial import cKDTree

    return cKDTree(points)
