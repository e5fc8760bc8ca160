"""A fault of a design stands at its field, in the studio's units, and says what is possible."""

from __future__ import annotations

import pytest

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.set_pieces.faults import ELSEWHERE, cannot_sketch


@pytest.mark.parametrize(
    ("fault", "field", "sentence"),
    [
        (
            Fault(code=FaultCode.NO_FRAME_THIS_WIDE, field="width_m", found=4.0, low=1.2, high=3.0),
            "width_m",
            (
                "No frame makes that width: these frames make 1.20 m to 3.00 m wide. "
                "Choose one in that range, or a design with other frames."
            ),
        ),
        (
            Fault(code=FaultCode.NO_FRAME_THIS_HIGH, field="height_m", found=3.0, low=2.0, high=2.4),
            "height_m",
            (
                "No frame makes that height: these frames make 2.00 m to 2.40 m high. "
                "Choose one in that range, or a design with other frames."
            ),
        ),
        (
            Fault(code=FaultCode.NEAREST_SIZE, field="height_m", found=2.2, low=2.1),
            "height_m",
            "That height can't be built. The nearest is 2.10 m.",
        ),
        (
            Fault(code=FaultCode.BETWEEN_SIZES, field="width_m", found=2.0, low=1.8, high=2.1),
            "width_m",
            "That width can't be built. The nearest are 1.80 m and 2.10 m.",
        ),
        (
            Fault(code=FaultCode.TOO_FULL, field="fullness", found=0.97, high=0.955),
            "fullness",
            "This piece can't be 97 % full. At most it gets 96 %.",
        ),
        (
            Fault(code=FaultCode.FRAMES_IN_ONE_PLACE, field="frame.front", found="Arch frame 6 ft", low=0.05),
            "frame.front",
            "This frame would stand where Arch frame 6 ft stands. Choose another size.",
        ),
        (
            Fault(code=FaultCode.SIGN_TOO_WIDE, field="sign.width_m", found=1.4, high=1.1),
            "sign.width_m",
            "This sign is 1.40 m wide, its frame 1.10 m. Choose a narrower sign or a wider frame.",
        ),
        (
            Fault(code=FaultCode.SIGN_TOO_HEAVY, field="sign.weight_kg", found=12.0, high=4.5),
            "sign.weight_kg",
            "This sign weighs 12 kg; the line that it hangs from holds 4.5 kg. Stand it on the floor instead.",
        ),
        (
            Fault(code=FaultCode.ROUTE_TOO_SHORT, field="garlands[0]", found=0.3, low=1.0),
            ELSEWHERE,
            "At this size the garland is too short to string. Make the piece bigger.",
        ),
        (
            Fault(code=FaultCode.OUT_OF_RANGE, field="loss", found=0.7, low=0.0, high=0.5),
            "loss",
            "This is 0.7; allowed is 0 to 0.5.",
        ),
        (
            Fault(code=FaultCode.OUT_OF_RANGE, field="share.oat", found=1.2, low=0.0, high=1.0),
            "share.oat",
            "This is 1.2; allowed is 0 to 1.",
        ),
        (
            Fault(code=FaultCode.OUT_OF_RANGE, field="garlands[0].pitch", found=9.0, low=0.5, high=2.0),
            ELSEWHERE,
            "garlands[0].pitch is 9; allowed is 0.5 to 2.",
        ),
    ],
    ids=lambda value: str(value.code) if isinstance(value, Fault) else "",
)
def test_a_fault_is_told_at_its_field(fault: Fault, field: str, sentence: str) -> None:
    assert cannot_sketch(DesignError(fault), "metric").faults == {field: [sentence]}


def test_all_faults_are_told_and_those_of_one_field_together() -> None:
    wide = Fault(code=FaultCode.NEAREST_SIZE, field="width_m", found=2.3, low=2.1)
    loss = Fault(code=FaultCode.OUT_OF_RANGE, field="loss", found=0.7, low=0.0, high=0.5)
    told = cannot_sketch(DesignError(wide, loss, loss), "feet").faults
    assert told["width_m"] == ["That width can't be built. The nearest is 6 ft 10¾ in."]
    assert len(told["loss"]) == 2
