"""What two versions differ in is counted out of their take-offs."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from quoting.variants.tally import Change, Tally, differences, tally_of

NUMBERS = st.integers(0, 400)
TALLIES = st.builds(Tally, **dict.fromkeys(Tally.__struct_fields__, NUMBERS))


@given(TALLIES)
def test_a_version_does_not_differ_from_itself(tally: Tally) -> None:
    assert differences(tally, tally) == []


@given(TALLIES, TALLIES)
def test_what_is_more_one_way_is_fewer_the_other(one: Tally, other: Tally) -> None:
    there = {each.what: each for each in differences(one, other)}
    back = {each.what: each for each in differences(other, one)}
    opposite = {
        Change.MORE: Change.FEWER, Change.FEWER: Change.MORE,
        Change.ADDED: Change.LEFT_OUT, Change.LEFT_OUT: Change.ADDED,
    }  # fmt: skip
    changed = {name for name in Tally.__struct_fields__ if getattr(one, name) != getattr(other, name)}
    assert there.keys() == back.keys() == changed
    for what, each in there.items():
        assert (back[what].change, back[what].by) == (opposite[each.change], each.by)
        assert abs(getattr(other, what) - getattr(one, what)) == each.by
        assert each.now == getattr(other, what)


def test_nothing_is_counted_out_of_nothing() -> None:
    assert tally_of([]) == Tally()
