"""The differences in words. The expected sentences are written by hand."""

from __future__ import annotations

import pytest

from quoting.variants.tally import Tally
from quoting.variants.words import difference_words, has_words, joined

SIMPLE = Tally(balloons=214, pieces=1, frames=1, covers=1)


@pytest.mark.parametrize(
    ("after", "said"),
    [
        (
            Tally(balloons=262, pieces=1, frames=2, covers=1, florals=8),
            "48 balloons more, florals, a second frame",
        ),
        (Tally(balloons=213, pieces=1, frames=1, covers=1, sign=2), "1 balloon fewer, a sign"),
        (
            Tally(balloons=214, pieces=2, frames=3, covers=2),
            "A second set piece, 2 frames more, 1 cover more",
        ),
        (
            Tally(balloons=214, pieces=1, frames=1, covers=1, foils=3, props=1),
            "3 foil balloons more, 1 prop more",
        ),
        (SIMPLE, ""),
    ],
)
def test_a_difference_is_said_as_a_decorator_would(after: Tally, said: str) -> None:
    assert joined(difference_words(SIMPLE, after)) == said


def test_of_parts_that_both_have_it_is_said_which_way() -> None:
    before, after = Tally(florals=4, sign=1, letterings=5), Tally(florals=9, sign=2, letterings=3)
    assert joined(difference_words(before, after)) == "More florals, more for the sign, less lettering"
    assert joined(difference_words(before, Tally())) == "No florals, no sign, no lettering"


def test_a_client_who_sees_no_counts_reads_no_number_of_balloons() -> None:
    after = Tally(balloons=262, pieces=1, frames=1, covers=1)
    assert difference_words(SIMPLE, after, counts=False) == ["more balloons"]
    assert has_words(SIMPLE, counts=False) == ["1 frame"]


def test_the_first_version_says_what_it_has() -> None:
    tally = Tally(balloons=214, frames=2, florals=3, sign=1)
    assert joined(has_words(tally)) == "214 balloons, 2 frames, florals, a sign"
