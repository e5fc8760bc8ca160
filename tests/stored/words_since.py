"""Words of pages and rates of work that changed since the facts were read; everything else is compared as it is."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from quoting.craft.sheets.stored import StoredEvenness

SINCE: Final = {
    "In the van": "Into the van",
    "width not known yet": "how wide it is there isn't known yet",
    "sized for the site": "sized for the place",
    "falls over at a gust": "comes down at a gust",
    "tips over at a gust": "tips at a gust",
    "or fix the feet to the ground": "or feet made fast to the ground",
    "Float times are common practice for untreated latex. Promise": (
        "Hours afloat are common practice for untreated latex; promise"
    ),
    "Outdoors, at a gust": "In the open, at a gust",
    ", it needs ": ", it takes ",
    "must be fixed against sliding": "must be kept from sliding",
    "this is an estimate; the site's rules come first.": "an estimate, the site's rules decide.",
    "lifts ": "pulls ",
    "This line isn’t on the list": "This line isn't on the list",
    " liters": " litres",
    ".\nThe pieces on hold are free again.": ". What was pencilled is free again.",
    "undid the last change: this is version ": "went back a sketch: this is sketch ",
}
"""What pages say now, and what they said then."""
LABELS: Final = {"Labor": "Hands", "Labour": "Hands"}
"""The same for labels, which are whole strings."""


RATES_SINCE: Final = {
    "accent_s": (90.0, 60.0), "cover_s": (300.0, 180.0), "frame_s": (450.0, 360.0), "hang_quad_s": (60.0, 15.0),
    "place_filler_s": (60.0, 40.0), "sign_s": (900.0, 600.0), "tie_point_s": (90.0, 60.0),
}  # fmt: skip
"""The product's rates of work: now, and then. A design has them where its document states none of its own."""


CLOCK: Final = re.compile(r"\b(\d{1,2}):(\d\d)\xa0([ap])m\b")
"""A clock with am or pm. All were written from 0 to 24 hours then."""


DAY: Final = re.compile(r"\b([A-Z][a-z]{2}), ([A-Z][a-z]{2}) (\d{1,2}), (\d{4})\b")
"""A day on paper in the United States. All papers wrote the day before the month then."""


def in_words_of_then(value: Any) -> Any:
    """Plain values with each phrase as it was said then."""
    if isinstance(value, dict):
        return {key: in_words_of_then(each) for key, each in value.items()}
    if isinstance(value, list):
        return [in_words_of_then(each) for each in value]
    if not isinstance(value, str):
        return value
    for now, then in SINCE.items():
        value = value.replace(now, then)
    value = DAY.sub(r"\1 \3 \2 \4", value)
    value = CLOCK.sub(lambda found: _from_0_to_24(*found.groups()), value)
    return LABELS.get(value, value)


def rates_of_then(read: Mapping[str, Any], stated: Mapping[str, Any]) -> dict[str, Any]:
    """Rates as they were read then: those that the document states are as they are read today."""
    then = dict(read)
    for name, (now, before) in RATES_SINCE.items():
        if name not in stated and read[name] == now:
            then[name] = before
    return then


def design_of_then(design: dict[str, Any], version: int) -> dict[str, Any]:
    """A design as the version of its format named it: version 1 had one sign or none."""
    if version > 1:
        return design
    then = {**_with_one_sign(design), "version": version}
    if then.get("chosen"):
        then["chosen"] = _with_one_sign(then["chosen"])
    return then


def evenness_of_then(found: StoredEvenness | None) -> str:
    """The figures of evenness in the sentence that stood on the page then."""
    if found is None or not found.contacts:
        return ""
    pairs = f"{found.same_colour} of {found.contacts} touching pairs are of one colour"
    kept = f"{found.recipes} different recipes: {pairs}"
    if found.recipes_free <= found.recipes:
        return f"{kept}."
    free = f"{found.recipes_free} recipes and {found.same_colour_free} pairs"
    return f"{kept}. Were every quad free to differ it would be {free}."


def round_name_of_then(name: str) -> str:
    """ "Oat 11 in" as offers wrote it then: "11 in, oat"."""
    colour, size, unit = name.rsplit(" ", 2)
    return f"{size} {unit}, {colour.lower()}"


# Private


def _with_one_sign(design: dict[str, Any]) -> dict[str, Any]:
    """A design with its first sign, or null, in place of its signs."""
    if "signs" not in design:
        return design
    signs = design["signs"]
    assert len(signs) < 2
    return {**design, "sign": signs[0] if signs else None}


def _from_0_to_24(hour: str, minute: str, half: str) -> str:
    return f"{int(hour) % 12 + (12 if half == 'p' else 0):02d}:{minute}"
