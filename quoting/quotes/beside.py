"""What there is beside the pieces of a quote, asked in one statement: nobody asks for what isn't there."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Final, NamedTuple

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import Exists, QuerySet, Subquery

from events.models import Wishes
from quoting.models import FreeLine, Quote, Supply
from quoting.quotes import staffing, stock_view, table_drafts
from studio.tenancy.kept_query import Given, KeptQuery


class Beside(NamedTuple):
    """Whether a quote has free lines, supplies and drafts on the table; its open offers' holds; the roles of the
    studio's people, whether other agreed events need them in the same hours, and the client's budget."""

    has_lines: bool = False
    has_supplies: bool = False
    has_drafts: bool = False
    offered_holds: Sequence[int] = ()
    roles: Sequence[str] = ()
    has_others: bool = False
    budget: Decimal | None = None
    has_variants: bool = False
    """Whether it has versions that are offered beside it."""


NOTHING: Final = Beside()


def beside(quote: Quote) -> Beside:
    """What there is beside a quote's pieces. One query."""
    event = quote.event
    found = _ASKED.first(quote=quote.pk, event=event.pk, start=event.load_out_at, end=event.back_at)
    return Beside(*found) if found else NOTHING


# Private


def _asked() -> QuerySet[Quote, tuple[bool, bool, bool, list[int], list[str], bool, Decimal | None, bool]]:
    here = Given("quote")
    return Quote.objects.filter(pk=here).values_list(
        Exists(FreeLine.objects.filter(quote_id=here)),
        Exists(Supply.objects.filter(quote_id=here)),
        Exists(table_drafts.unplaced(here)),
        ArraySubquery(stock_view.offered_holds(here)),
        ArraySubquery(staffing.roles()),
        Exists(staffing.others()),
        Subquery(Wishes.objects.filter(event_id=Given("event")).values("budget")[:1]),
        Exists(Quote.objects.filter(variant_of=here)),
    )


_ASKED: Final = KeptQuery(_asked)
