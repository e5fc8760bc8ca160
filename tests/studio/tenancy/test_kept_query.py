"""A kept query finds what its queryset finds, whatever it is asked with, and writes its statement once."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.db.models import Count, QuerySet
from django.test.utils import CaptureQueriesContext

from quoting.models import Quote, SetPiece
from stock.models import Item
from studio.tenancy.kept_query import Given, GivenMany, KeptQuery
from tests.people import House
from tests.quoting import scenes

PIECES = KeptQuery(lambda: SetPiece.objects.filter(quote_id=Given("quote")).defer("picture"))
QUOTES = KeptQuery(lambda: Quote.objects.select_related("event__client").filter(pk=Given("quote")))
CODED: KeptQuery[Any] = KeptQuery(
    lambda: Item.objects.select_related("colour").filter(code__in=GivenMany("codes", "text"))
)


def kinds() -> QuerySet[Item, Any]:
    counted = Item.objects.exclude(code__in=GivenMany("codes", "text")).order_by("kind")
    return counted.values_list("kind").annotate(Count("pk"))


KINDS: KeptQuery[Any] = KeptQuery(kinds)


@pytest.fixture
def quoted(wickerlark: House) -> Quote:
    with wickerlark.enter():
        return scenes.quote(wickerlark)


def test_rows_are_those_of_the_queryset_with_their_columns_and_related_rows(
    wickerlark: House, quoted: Quote
) -> None:
    with wickerlark.enter():
        plain = Quote.objects.select_related("event__client").get(pk=quoted.pk)
        found = QUOTES.first(quote=quoted.pk)
        assert found == plain
        assert {name: value for name, value in vars(found).items() if name != "_state"} == {
            name: value for name, value in vars(plain).items() if name != "_state"
        }
        with CaptureQueriesContext(connection) as asked:
            assert found.event.client.name == plain.event.client.name
        assert not asked.captured_queries


def test_what_is_deferred_is_read_when_asked_for(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        (piece,) = PIECES.rows(quote=quoted.pk)
        assert piece.get_deferred_fields() == {"picture"}
        assert piece.picture == quoted.pieces.get().picture
        assert piece.takeoff.balloons > 0


@pytest.mark.parametrize("count", [0, 1, 7])
def test_lists_of_any_length_are_one_statement(wickerlark: House, quoted: Quote, count: int) -> None:
    with wickerlark.enter():
        codes = sorted(Item.objects.values_list("code", flat=True))[:count]
        with CaptureQueriesContext(connection) as asked:
            found = CODED.rows(codes=codes)
        assert len(asked) == 1
        assert sorted(item.code for item in found) == codes
        left = Item.objects.exclude(code__in=codes).order_by("kind").values_list("kind").annotate(Count("pk"))
        assert KINDS.rows(codes=codes) == list(left)


def test_the_same_query_asked_twice_gives_rows_of_its_own_each_time(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        (one,), (other,) = PIECES.rows(quote=quoted.pk), PIECES.rows(quote=quoted.pk)
        one.name = "changed"
        assert other.name != "changed"
        SetPiece.objects.filter(pk=one.pk).update(name="written since")
        assert [piece.name for piece in PIECES.rows(quote=quoted.pk)] == ["written since"]
        assert PIECES.rows(quote=quoted.pk + 1) == []
        assert PIECES.first(quote=quoted.pk + 1) is None


def test_another_studio_finds_nothing(wickerlark: House, federkorn: House, quoted: Quote) -> None:
    with wickerlark.enter():
        assert PIECES.rows(quote=quoted.pk)
    with federkorn.enter():
        assert PIECES.rows(quote=quoted.pk) == []


def test_a_value_that_is_not_said_is_no_question(wickerlark: House) -> None:
    with wickerlark.enter(), pytest.raises(KeyError, match="quote"):
        PIECES.rows()
