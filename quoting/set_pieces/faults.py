"""Faults of a design told as people read them: at the field, in the studio's units."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError

from quoting.craft.design.records import DesignError, Fault
from studio.measures import lengths

NO_FRAME_MAKES: Final = re.compile(
    r"is [\d.]+; these frames make a piece (?P<low>[\d.]+) to (?P<high>[\d.]+) m (?P<what>wide|high)"
)
ELSEWHERE: Final = "__all__"


class CannotSketch(ValidationError):
    """A change that can't be made, and why: messages by field."""

    def __init__(self, faults: dict[str, list[str]]) -> None:
        super().__init__(faults)
        self.faults = faults


def cannot_sketch(error: DesignError, units: str) -> CannotSketch:
    """The same faults by the fields they belong to; what belongs to none stands under ``__all__``."""
    told: dict[str, list[str]] = {}
    for fault in error.faults:
        field, sentence = _told(fault, units)
        told.setdefault(field, []).append(sentence)
    return CannotSketch(told)


# Private


def _told(fault: Fault, units: str) -> tuple[str, str]:
    if found := NO_FRAME_MAKES.search(fault.message):
        low, high = (lengths.written(Decimal(found[name]), units) for name in ("low", "high"))
        which = "width" if found["what"] == "wide" else "height"
        return fault.path, (
            f"No frame here makes that {which}: these make a piece {low} to {high} {found['what']}. "
            "Choose one in that range, or a design with other frames."
        )
    if fault.path in FORM_FIELDS or fault.path.partition(".")[0] in DOTTED_FIELDS:
        return fault.path, f"This {fault.message.rstrip('.')}."
    if fault.path.endswith(".route") and "can be strung" in fault.message:
        return ELSEWHERE, "At this size the garland is too short to be strung. Make the piece bigger."
    if "balloons; at most" in fault.message:
        return ELSEWHERE, f"That {fault.message.rstrip('.')}."
    return ELSEWHERE, f"{fault.path} {fault.message.rstrip('.')}."


FORM_FIELDS: Final = {
    "width_m",
    "height_m",
    "fullness",
    "loss",
    "rounds",
    "seed",
    "sizes",
    "crew",
    "add_colour",
    "add_frame",
    "pattern",
    "bands",
    "recipes",
}
DOTTED_FIELDS: Final = {"share", "swap", "frame", "cover", "floral", "sign", "site"}
