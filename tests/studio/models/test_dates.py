"""Days and clocks on the pages of studios of two countries."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest

from studio.models import dates
from studio.models.spelling import spelled
from tests.people import House

MOMENT = datetime(2030, 12, 14, 16, 5, tzinfo=UTC)


def test_each_studio_reads_its_own_form_of_a_moment(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        assert dates.moment_written(MOMENT) == "Sat Dec 14, 2030, 4:05\u00a0pm"
        assert spelled("Colors") == "Colors"
    with federkorn.enter():
        assert dates.moment_written(MOMENT) == "Sa., 14. Dez. 2030, 16:05"
        assert spelled("Colors") == "Colours"


def test_outside_a_studio_it_is_the_american_form() -> None:
    assert dates.moment_written(MOMENT) == "Sat Dec 14, 2030, 4:05\u00a0pm"


@pytest.mark.parametrize(
    ("page", "american", "german"),
    [
        ("events:month", "December 2030", "Dezember 2030"),
        ("events:week", r"Mon</b>\s*<span>Dec 16<", r"Mo\.</b>\s*<span>16\. Dez\.<"),
    ],
)
def test_a_page_is_written_for_its_studio(
    wickerlark: House, federkorn: House, page: str, american: str, german: str
) -> None:
    for house, words in ((wickerlark, american), (federkorn, german)):
        answer = house.client().get(house.url(page), {"day": "2030-12-14"})
        assert re.search(words, answer.content.decode()), (house.studio.slug, words)
