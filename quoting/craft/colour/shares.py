"""Shares of a palette as whole balloons."""

from __future__ import annotations

import math
from collections.abc import Sequence

from studio.trade.ranges import between, positive, whole

MOST_COLOURS = 40  # setting: nobody mixes more


def counts_by_share(total: int, shares: Sequence[float]) -> tuple[int, ...]:
    """Divide `total` balloons among colours: whole numbers that add up to it, each within one of its exact share.

    shares: any positive weights; they are taken relative to their sum, none or all zero is a CraftError.
    Largest remainders, ties to the earlier colour (Hamilton 1792; Balinski & Young 1982, Fair
    Representation).

    >>> counts_by_share(10, [0.5, 0.3, 0.2])
    (5, 3, 2)
    >>> counts_by_share(10, [1, 1, 1])
    (4, 3, 3)
    """
    whole("total", total, 0, 10_000_000)
    whole("count of colours", len(shares), 1, MOST_COLOURS)
    between("share", list(shares), 0.0, 1e9, "")
    sum_of_shares = math.fsum(shares)
    positive("sum of the shares", sum_of_shares, "")
    exact = [total * share / sum_of_shares for share in shares]
    counts = [math.floor(amount) for amount in exact]
    by_remainder = sorted(range(len(shares)), key=lambda colour: (counts[colour] - exact[colour], colour))
    for colour in by_remainder[: total - sum(counts)]:
        counts[colour] += 1
    return tuple(counts)
