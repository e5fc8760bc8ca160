"""The spares of a bill that stands."""

from __future__ import annotations

from quoting.craft.change.agreed_spares import with_agreed_spares
from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.takeoff.takeoff import TakeOff, take_off


def made() -> TakeOff:
    return take_off(load_design(STARTERS / "classic-arch.json"))


def test_the_bill_has_the_spares_that_were_agreed_and_nothing_else_changes() -> None:
    before = made()
    asked = {key: count + place for place, (key, count) in enumerate(before.counts.items())}
    after = with_agreed_spares(before, asked)
    assert after.to_bring == asked != before.to_bring
    billed = {line.code: line.quantity for line in after.bill()}
    assert {
        f"latex-{size}-{colour}": count for (size, colour), count in asked.items()
    }.items() <= billed.items()
    others = {line.code: line.quantity for line in before.bill() if line.code not in billed}
    assert not others
    assert after.counts == before.counts


def test_never_fewer_come_than_are_placed_and_what_is_not_named_has_no_spares() -> None:
    before = made()
    first, *others = before.counts
    after = with_agreed_spares(before, {first: before.counts[first] - 5})
    assert after.to_bring == before.counts
    assert others
