"""From a design's palette to a scenario's: the alterations that a person would make on the quote page."""

from __future__ import annotations

from collections.abc import Mapping


def alterations(shares: Mapping[str, float], wanted: Mapping[str, int]) -> dict[str, object]:
    """What to alter so that a palette with ``shares`` (adding up to 1) has ``wanted`` instead (percent)."""
    leaving = [colour for colour in shares if colour not in wanted]
    coming = [colour for colour in wanted if colour not in shares]
    swaps = dict(zip(leaving, coming, strict=False))
    changes: dict[str, object] = {f"swap.{old}": new for old, new in swaps.items()}
    standing = {swaps.get(colour, colour): share for colour, share in shares.items()}
    for colour in coming[len(swaps) :]:
        changes["add_colour"] = colour
        standing[colour] = 0.0
    for colour in leaving[len(swaps) :]:
        _set(standing, changes, colour, 0.0)
    done: dict[str, float] = {}
    for colour, percent in wanted.items():
        if done:
            others = sum(standing[name] for name in standing if name != colour)
            part = sum(standing[name] for name in done) / others * percent / sum(done.values())
            _set(standing, changes, colour, part / (1 + part))
        done[colour] = percent
    return changes


def _set(standing: dict[str, float], changes: dict[str, object], colour: str, share: float) -> None:
    """Altering one share scales the others, as the quote page does."""
    rest = sum(value for name, value in standing.items() if name != colour)
    for name, value in standing.items():
        standing[name] = share if name == colour else value / rest * (1 - share)
    changes[f"share.{colour}"] = share
