"""What there is beside a quote's pieces is known from one statement, and asked for where it is there."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.db import connection
from django.test.utils import CaptureQueriesContext

from events.models import Event, Stage, Status
from quoting.drawing_table import drafts, opening
from quoting.models import Quote, Supply, SupplyKind
from quoting.quotes import sheet, sketch
from quoting.quotes.beside import Beside, beside
from studio.models import Membership
from tests.people import House
from tests.quoting import offer_scenes, scenes
from tests.quoting.drawing_table.test_drafts import named
from tests.quoting.quotes.test_staffing import beside as agreed_beside


def test_a_quote_by_itself_has_nothing_beside_it_but_the_studio_s_people(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        with CaptureQueriesContext(connection) as asked:
            found = beside(quote)
        assert len(asked) == 1
        roles = sorted(Membership.objects.values_list("role", flat=True))
        assert sorted(found.roles) == roles
        assert found == Beside(roles=found.roles, offered_holds=[])


def test_each_thing_beside_it_is_known(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        other = scenes.quote(wickerlark, title="Elsewhere")
        sketch.add_free_line(
            quote.pk, label="Delivery", quantity=Decimal(1), unit_price=Decimal(5), tax_id=None, version=1
        )
        quote = Quote.objects.get(pk=quote.pk)
        assert beside(quote)[:3] == (True, False, False)
        Supply.objects.create(quote=quote, code="a", label="A", kind=SupplyKind.BUY, due_on=date(2026, 12, 1))
        assert beside(quote)[:3] == (True, True, False)
        draft = opening.open_for_quote(quote.pk, wickerlark.studio)
        assert beside(quote)[:3] == (True, True, False), "nothing is drawn in it"
        drafts.act(draft.pk, named("Six"), version=1)
        assert beside(quote)[:3] == (True, True, True)
        assert beside(other)[:3] == (False, False, False)


def test_other_agreed_events_of_the_same_hours_are_known(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        other = agreed_beside(wickerlark, quote.event, crew=3)
        assert beside(quote).has_others
        assert sheet.read_sheet(quote, wickerlark.studio).crew.others == ((other.title, 3),)
        Event.objects.filter(pk=other.pk).update(status=Status.TENTATIVE, stage=Stage.SKETCH)
        assert not beside(quote).has_others
        assert sheet.read_sheet(quote, wickerlark.studio).crew.others == ()


def test_what_an_open_offer_holds_is_known(wickerlark: House) -> None:
    offer = offer_scenes.offered(wickerlark).offer
    with wickerlark.enter():
        hold = offer_scenes.tentative_hold_of(offer)
        assert list(beside(offer.quote).offered_holds) == [hold.pk]
