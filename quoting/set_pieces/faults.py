"""Faults of a design as people read them: at the field, in the studio's units."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from django.core.exceptions import ValidationError

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.set_pieces import measures
from studio.measures import lengths

NO_FRAME_MAKES: Final = {
    FaultCode.NO_FRAME_THIS_WIDE: ("width", "wide"),
    FaultCode.NO_FRAME_THIS_HIGH: ("height", "high"),
}
"""What no frame makes, and how a piece of that measure is called."""
SIGN_FAULTS: Final = {FaultCode.SIGN_TOO_WIDE, FaultCode.SIGN_TOO_HEAVY}
ELSEWHERE: Final = "__all__"


class CannotSketch(ValidationError):
    """A change that can't be made, and why: messages by field."""

    def __init__(self, faults: dict[str, list[str]]) -> None:
        super().__init__(faults)
        self.faults = faults


def cannot_sketch(error: DesignError, units: str) -> CannotSketch:
    """The same faults by the fields they belong to; what belongs to none stands under ``__all__``."""
    messages: dict[str, list[str]] = {}
    for fault in error.faults:
        field, sentence = _told(fault, units)
        messages.setdefault(field, []).append(sentence)
    return CannotSketch(messages)


# Private


def _told(fault: Fault, units: str) -> tuple[str, str]:
    if fault.code in NO_FRAME_MAKES:
        which, what = NO_FRAME_MAKES[fault.code]
        low, high = (_length(end, units) for end in (fault.low, fault.high))
        return fault.field, (
            f"No frame makes that {which}: these frames make {low} to {high} {what}. "
            "Choose one in that range, or a design with other frames."
        )
    if fault.code == FaultCode.NEAREST_SIZE:
        side = fault.field.removesuffix("_m")
        return fault.field, f"That {side} can't be built. The nearest is {_length(fault.low, units)}."
    if fault.code == FaultCode.BETWEEN_SIZES:
        side, low, high = (
            fault.field.removesuffix("_m"),
            *(_length(end, units) for end in (fault.low, fault.high)),
        )
        return fault.field, f"That {side} can't be built. The nearest are {low} and {high}."
    if fault.code == FaultCode.TOO_FULL:
        return fault.field, _too_full_words(fault)
    if fault.code == FaultCode.FRAMES_IN_ONE_PLACE:
        return fault.field, f"This frame would stand where {fault.found} stands. Choose another size."
    if fault.code in SIGN_FAULTS:
        return fault.field, _sign_words(fault, units)
    if fault.field in FORM_FIELDS or fault.field.partition(".")[0] in DOTTED_FIELDS:
        return fault.field, f"This {fault.message.rstrip('.')}."
    if fault.code == FaultCode.ROUTE_TOO_SHORT:
        return ELSEWHERE, "At this size the garland is too short to string. Make the piece bigger."
    if fault.code == FaultCode.TOO_MANY_BALLOONS:
        return ELSEWHERE, f"That {fault.message.rstrip('.')}."
    return ELSEWHERE, f"{fault.field} {fault.message.rstrip('.')}."


def _too_full_words(fault: Fault) -> str:
    assert isinstance(fault.found, float)
    assert fault.high is not None
    return f"This piece can't be {100 * fault.found:.0f} % full. At most it gets {100 * fault.high:.0f} %."


def _sign_words(fault: Fault, units: str) -> str:
    assert isinstance(fault.found, float)
    if fault.code == FaultCode.SIGN_TOO_WIDE:
        wide, room = _length(fault.found, units), _length(fault.high, units)
        return f"This sign is {wide} wide, its frame {room}. Choose a narrower sign or a wider frame."
    assert fault.high is not None
    heavy, most = measures.weight(fault.found, units), measures.weight(fault.high, units)
    return (
        f"This sign weighs {heavy}; the line that it hangs from holds {most}. Stand it on the floor instead."
    )


def _length(metres: float | None, units: str) -> str:
    assert metres is not None
    return lengths.written(Decimal(f"{metres:.2f}"), units)


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
