"""What open quotes are worth, and how likely they come about by the studio's own record."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from events.models import Event
from quoting.models import Quote, QuoteState
from quoting.offers import offering
from quoting.quotes.likelihood import outlook, succession
from tests.people import House
from tests.quoting import offer_scenes, scenes

pytestmark = pytest.mark.django_db
D = Decimal


def record(quote: Quote, **states: int) -> None:
    """So many more quotes in each state, for the same event."""
    for state, count in states.items():
        for _ in range(count):
            quote.pk, quote.state = None, QuoteState[state].value
            quote.save()


def test_chances_follow_the_record_by_the_rule_of_succession(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        worth = quote.priced_total or D(0)
        record(quote, AGREED=5, DECLINED=2, SET_ASIDE=3, OFFERED=1)
        seen = outlook()
    assert seen.chance == {"offered": 6 / 9, "sketch": 6 / 12, "declined": 0.0}
    assert seen.judged_by == 10
    assert seen.worth == 4 * worth, "one sketch, one offer, and two declined that may be offered anew"
    assert seen.likely == pytest.approx(worth * D("1.166666667"), abs=D("0.01"))


def test_what_was_never_answered_counts_against_and_what_is_past_is_worth_nothing(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        record(quote, OFFERED=3)
        past = {
            field: timezone.now() - timedelta(days=9, hours=-hours)
            for hours, field in enumerate(
                ("load_out_at", "access_from", "ready_by", "strike_from", "out_by", "back_at")
            )
        }
        Event.objects.filter(pk=quote.event_id).update(**past)
        seen = outlook()
    assert seen.chance["offered"] == 1 / 5
    assert seen.chance["sketch"] == 1 / 6
    assert seen.worth == seen.likely == 0


@given(st.integers(0, 500), st.integers(0, 500))
def test_the_rule_of_succession_is_the_mean_of_what_the_record_leaves_open(agreed: int, lost: int) -> None:
    """Mean of a beta distribution with agreed + 1 and lost + 1, a uniform belief before any record (Laplace 1814)."""
    assert succession(agreed, agreed + lost) == pytest.approx(float(Fraction(agreed + 1, agreed + lost + 2)))
    assert succession(agreed + 1, agreed + lost + 1) > succession(agreed, agreed + lost + 1)


def test_the_list_says_what_lapses_when_and_what_all_of_it_is_worth(wickerlark: House) -> None:
    with wickerlark.enter():
        offer = offering.offer(offer_scenes.quote(wickerlark)).offer
    page = wickerlark.client().get(wickerlark.url("quoting:quotes")).content.decode()
    assert "expires " in page
    assert "likely 50%" in page
    total = f"{offer.total:,.2f}"
    assert f"open and upcoming: ${total}" in page
