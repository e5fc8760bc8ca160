"""What the growth run writes into a copy of a row; the copies themselves are made by the run."""

from __future__ import annotations

from events.models import Client, Event
from stock.models import Colour
from studio.models import PublicLink
from tests.bench.growth_rows import _columns

SEASON = {Client, Event}


def test_a_copy_further_back_has_keys_of_its_own_and_is_over() -> None:
    columns = _columns(Event, SEASON, elsewhere=False)
    assert columns["id"] == '"id" + %(keys)s'
    assert columns["client_id"] == '"client_id" + %(keys)s', "clients are copied as well"
    assert columns["venue_id"] == '"venue_id"', "venues aren't"
    assert columns["ready_by"] == "\"ready_by\" - %(days)s * interval '1 day'"
    assert columns["status"].startswith("CASE status WHEN 'TENTATIVE'")
    assert columns["title"] == '"title"'


def test_only_what_would_meet_its_like_gets_a_mark() -> None:
    assert "mark" in _columns(Client, SEASON, elsewhere=False)["email"], "unique in a studio"
    assert _columns(Client, SEASON, elsewhere=True)["email"] == '"email"'
    assert _columns(Colour, SEASON, elsewhere=True)["code"] == '"code"'
    assert "mark" in _columns(PublicLink, SEASON, elsewhere=True)["token_hash"], "unique among all studios"
