"""Shares of the design's colors: shown in whole per cents that add up to 100, and typed one at a time."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from quoting.craft.design.records import Design
from quoting.drawing_table.forms import SHARE


def shares_after(values: Mapping[str, object], design: Design) -> dict[str, float]:
    """Shares by color: those that were typed anew as typed, the others share what is left as they did before."""
    before = {colour.colour: colour.share for colour in design.palette}
    shown = dict(zip(before, whole_percents(list(before.values())), strict=True))
    sent = {code: values.get(f"{SHARE}{code}") for code in before}
    typed = {
        code: float(share)
        for code, share in sent.items()
        if isinstance(share, int | float) and round(100 * share) != shown[code]
    }
    others = sum(share for code, share in before.items() if code not in typed)
    left = 1 - sum(typed.values())
    if not typed or not others or left <= 0:
        return {**before, **typed}
    return {code: typed.get(code, share * left / others) for code, share in before.items()}


def whole_percents(shares: Sequence[float]) -> list[int]:
    """Shares that add up to 1 in whole per cents that add up to 100: what is left goes to the largest remainders.

    >>> whole_percents([0.335, 0.255, 0.17, 0.09, 0.15])
    [34, 25, 17, 9, 15]
    """
    exact = [100 * share for share in shares]
    found = [math.floor(share) for share in exact]
    by_remainder = sorted(range(len(exact)), key=lambda k: (found[k] - exact[k], k))
    for k in by_remainder[: round(sum(exact)) - sum(found)]:
        found[k] += 1
    return found
