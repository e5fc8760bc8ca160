"""Faults of a design: every code has its sentence, and the sentence shows the figures."""

from __future__ import annotations

import pytest

from quoting.craft.design.faults import SENTENCES, DesignError, Fault, FaultCode


@pytest.mark.parametrize("code", FaultCode)
def test_every_code_has_a_sentence_that_its_figures_fill(code: FaultCode) -> None:
    fault = Fault(code=code, field="here", found=7, low=1, high=5, names=("oat", "ink"), what="a frame")
    assert fault.message
    assert "{" not in fault.message
    assert set(SENTENCES) == set(FaultCode)


def test_an_error_lists_all_its_faults_each_with_its_field() -> None:
    wide = Fault(code=FaultCode.NO_FRAME_THIS_WIDE, field="width_m", found=9.0, low=2.1, high=3.4)
    high = Fault(code=FaultCode.OUT_OF_RANGE, field="height_m", found=99.0, low=0.2, high=20.0)
    error = DesignError(wide, high)
    assert error.faults == (wide, high)
    first, second = str(error).splitlines()
    assert first.startswith("width_m: is 9.00; these frames make a piece 2.10 to 3.40 m wide.")
    assert second == "height_m: is 99; allowed is 0.2 to 20"
