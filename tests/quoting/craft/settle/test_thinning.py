"""What is left out of a thin garland: evenly, and never less of a longer one."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from quoting.craft.settle.garland import Strung
from quoting.craft.settle.thinning import kept_by_share


def string(quads: int, big: int) -> Strung:
    """Quads of four and big rounds, where they are doesn't matter."""
    quad = np.concatenate([np.repeat(np.arange(quads), 4), np.full(big, -1)])
    nothing = np.zeros(len(quad))
    return Strung(np.zeros((len(quad), 3)), nothing, np.zeros((len(quad), 3)), nothing, quad, quad, nothing)


def kept_of(quads: int, big: int, share: float) -> tuple[list[int], int]:
    """The quads that stay, and how many big rounds."""
    one = string(quads, big)
    kept = kept_by_share(one, share)
    stays = one.quad[kept]
    whole, often = np.unique(stays[stays >= 0], return_counts=True)
    assert (often == 4).all(), "a quad stays as a whole"
    return whole.tolist(), int((stays < 0).sum())


@given(st.integers(1, 60), st.integers(0, 12), st.integers(0, 20), st.floats(0, 1))
def test_a_longer_string_keeps_no_fewer_of_the_same_share(
    quads: int, big: int, more: int, share: float
) -> None:
    short, long = kept_of(quads, big, share), kept_of(quads + more, big + more // 5, share)
    assert 1 <= len(short[0]) <= len(long[0])
    assert short[1] <= long[1]


@given(st.integers(8, 60), st.floats(0.25, 1))
def test_no_gap_is_much_longer_than_the_mean_one(quads: int, share: float) -> None:
    """Places by the golden section lie in gaps of at most three lengths (three-gap theorem), of which the longest is
    less than the golden ratio squared, 2.62, times the mean: from memory."""
    kept, _ = kept_of(quads, 0, share)
    gaps = np.diff([-1, *kept, quads])
    assert gaps.max() <= 2.62 * (quads + 1) / len(kept) + 1


@given(st.integers(1, 60), st.integers(0, 12))
def test_all_of_a_string_is_all_of_it(quads: int, big: int) -> None:
    kept, rounds = kept_of(quads, big, 1.0)
    assert (kept, rounds) == (list(range(quads)), big)
