"""Several questions in one round trip give what each would give alone."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db import connection
from django.test.utils import CaptureQueriesContext

from quoting.models import FreeLine, SetPiece
from studio import together
from studio.models import Membership, TaxRate
from studio.people import taxes
from tests.people import House
from tests.quoting import scenes


def test_it_gives_what_each_question_gives_alone_in_order_and_in_one_statement(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        taxes.add_tax(name="Late levy", percent=Decimal("0.125"), is_default=False)
        FreeLine.objects.create(
            quote=quote,
            position=1,
            label="Plinth “low”",
            quantity=Decimal("1.250"),
            unit_price=Decimal("0.1"),
        )
        pieces, lines = quote.pieces.all(), quote.free_lines.all()
        rates = TaxRate.objects.order_by("percent")
        people = Membership.objects.order_by("role").values_list("role", "since")
        nobody = Membership.objects.filter(pk__in=[]).values_list("role")
        with CaptureQueriesContext(connection) as queries:
            found = together.rows(pieces, lines, rates, people, nobody)
        assert len(queries) == 1
        for asked, given in zip((pieces, lines, rates), found, strict=False):
            alone = list(asked)
            assert given == alone
            for one, other in zip(given, alone, strict=True):
                kept = [field.attname for field in other._meta.concrete_fields]
                assert [getattr(one, name) for name in kept] == [getattr(other, name) for name in kept]
                assert type(one) is type(other)
        assert [(role, datetime.fromisoformat(since)) for role, since in found[3]] == list(people)
        assert found[4] == []


def test_what_is_deferred_stays_behind_until_it_is_wanted(wickerlark: House) -> None:
    with wickerlark.enter():
        scenes.quote(wickerlark)
        ((piece,),) = together.rows(SetPiece.objects.defer("picture"))
        assert piece.get_deferred_fields() == {"picture"}
        assert piece.picture.startswith("<svg")


def test_another_studios_rows_stay_out_of_it(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        scenes.quote(wickerlark)
    with federkorn.enter():
        assert together.rows(SetPiece.objects.all(), TaxRate.objects.all()) == [
            [],
            list(TaxRate.objects.all()),
        ]
