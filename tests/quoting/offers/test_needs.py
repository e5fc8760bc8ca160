"""Of several versions one is built: the hold is, item by item, what the neediest takes."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from quoting.offers.needs import most_of_each

NEEDS = st.dictionaries(st.sampled_from("abcdef"), st.integers(0, 50), max_size=6)


@given(st.lists(NEEDS, min_size=1, max_size=3))
def test_whichever_version_is_picked_is_covered_and_nothing_more_is_kept(
    versions: list[dict[str, int]],
) -> None:
    kept = most_of_each(versions)
    for version in versions:
        assert all(kept[code] >= quantity for code, quantity in version.items())
    for code, quantity in kept.items():
        assert any(version.get(code) == quantity for version in versions)


@given(NEEDS)
def test_one_version_alone_is_kept_as_it_is(needs: dict[str, int]) -> None:
    assert most_of_each([needs]) == needs
