"""What a load run reads from pages and makes of its times; the run itself is started by hand."""

from __future__ import annotations

import pytest

from tests.bench.load_browser import fields, token
from tests.bench.load_quotes import TURN_SECONDS, Run, Spread

FORM = """<form class="other"><input name="no" value="1"></form>
<form class="sketch" method="post"><input type="hidden" name="csrfmiddlewaretoken" value="t0">
<input name="width_m" value="7 ft"><input type="checkbox" name="frame" value="a" checked>
<input type="checkbox" name="frame" value="b" checked><input type="checkbox" name="frame" value="c">
<select name="kind"><option value="x">X</option><option value="y" selected>Y</option></select></form>"""


def test_a_form_is_sent_as_a_browser_would() -> None:
    assert fields(FORM, 'class="sketch"') == {
        "csrfmiddlewaretoken": "t0", "width_m": "7 ft", "frame": ["a", "b"], "kind": "y",
    }  # fmt: skip
    assert token(FORM) == "t0"
    for asked in (lambda: fields(FORM, 'class="none"'), lambda: token("<p>no form</p>")):
        with pytest.raises(ValueError, match=r"no (such )?form"):
            asked()


def test_times_are_told_as_median_and_p95_in_milliseconds() -> None:
    """Of 1 to 99 seconds: the middle one is 50, and 95 of a hundred lie below 95."""
    assert Spread.of([float(each) for each in range(1, 100)]) == Spread(99, 50_000, 95_000, 99_000)
    assert Spread.of([]) == Spread(0, 0, 0, 0)
    assert Spread.of([2.0]) == Spread(1, 2000, 2000, 2000)


def test_the_other_studio_works_every_second_turn() -> None:
    run = Run(began=100.0, seconds=60)
    assert [run.is_turn(100 + turn * TURN_SECONDS + 1) for turn in range(4)] == [False, True, False, True]
