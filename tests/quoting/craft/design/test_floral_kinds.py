"""Florals known by their names."""

from __future__ import annotations

import pytest

from quoting.craft.design.floral_kinds import kind_of


@pytest.mark.parametrize(
    ("look", "name", "kind"),
    [
        ("leaf", "Silver dollar eucalyptus", "eucalyptus"), ("leaf", "Eukalyptus-Girlande", "eucalyptus"),
        ("leaf", "Farn", "fern"), ("leaf", "Palmblatt", "palm"), ("leaf", "Fan palm", "palm"),
        ("leaf", "Something green", "ruscus"), ("bloom", "Pfingstrose", "peony"), ("bloom", "Silk rose pick", "rose"),
        ("bloom", "Palm", "rose"), ("plume", "Bleached grass", "pampas"),
    ],
)  # fmt: skip
def test_a_kind_is_known_by_its_name_among_those_of_its_look(look: str, name: str, kind: str) -> None:
    assert kind_of(look, "item-1", name) == kind
