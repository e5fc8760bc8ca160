"""Fields that parse what people type: how far something stands from a line, on either side of it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from studio.ui.forms import PlaceField


@pytest.mark.parametrize(
    ("typed", "metres"),
    [
        ("1 ft 6 in", "0.457"),
        ("−1 ft 6 in", "-0.457"),
        ("-2.3 m", "-2.300"),
        ("– 40 cm", "-0.400"),
        ("0", "0"),
        ("0,0 m", "0"),
        (".0 m", "0"),
        ("0 inches", "0"),
        ("-0 ft", "0"),
    ],
)
def test_a_place_is_read_on_either_side_of_its_line(typed: str, metres: str) -> None:
    assert PlaceField(units="feet").clean(typed) == Decimal(metres)


@pytest.mark.parametrize("typed", ["0 banana", "--1 ft", "left", "", "-"])
def test_what_is_no_place_is_refused(typed: str) -> None:
    with pytest.raises(ValidationError):
        PlaceField(units="feet").clean(typed)


def test_a_place_on_one_side_only_is_not_less_than_nothing() -> None:
    with pytest.raises(ValidationError):
        PlaceField(units="metric", both_ways=False).clean("-1 m")


@pytest.mark.parametrize("shown", ["−1 ft 6 in", "0", "2 ft"])
def test_what_is_shown_is_read_as_the_same_place(shown: str) -> None:
    field = PlaceField(units="feet")
    assert field.prepare_value(field.clean(shown)) == shown
