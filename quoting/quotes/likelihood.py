"""How likely a quote comes about, judged by how the studio's own quotes went."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from django.db.models import Count, Sum
from django.utils import timezone

from events.models import Status
from quoting.models import Quote, QuoteState
from studio.tenancy.access import require
from studio.tenancy.rights import Right

SETTLED: Final = (QuoteState.AGREED, QuoteState.DECLINED, QuoteState.SET_ASIDE)


@dataclass(frozen=True, slots=True)
class Outlook:
    """The chance of each open state, out of how many quotes it was judged, and what all open quotes are worth."""

    chance: Mapping[str, float]
    judged_by: int
    worth: Decimal
    likely: Decimal
    """The worth of each open quote times its chance."""


def outlook() -> Outlook:
    """Of the entered studio. Three queries, whatever the number of quotes.

    Laplace's rule of succession: of n quotes that were settled, s were agreed, the next is with (s + 1) / (n + 2)
    (Essai philosophique sur les probabilités, 1814). An offer is judged by all that were offered, a sketch by all
    that there were: one whose day passed unanswered counts as not agreed. A declined one is not counted upon.
    """
    require(Right.SEE_QUOTES)
    past = Quote.objects.filter(event__ready_by__lt=timezone.now())
    settled = Counter(
        dict(Quote.objects.filter(state__in=SETTLED).order_by().values_list("state").annotate(n=Count("pk")))
    )
    unanswered = Counter(
        dict(past.exclude(state__in=SETTLED).order_by().values_list("state").annotate(n=Count("pk")))
    )
    agreed = settled[QuoteState.AGREED]
    offered = agreed + settled[QuoteState.DECLINED] + unanswered[QuoteState.OFFERED]
    sketched = offered + settled[QuoteState.SET_ASIDE] + unanswered[QuoteState.SKETCH]
    chance = {
        QuoteState.OFFERED.value: succession(agreed, offered),
        QuoteState.SKETCH.value: succession(agreed, sketched),
        QuoteState.DECLINED.value: 0.0,
    }
    return Outlook(chance, sketched, *_worth(chance))


def succession(successes: int, trials: int) -> float:
    """The chance of one more success (Laplace 1814)."""
    return (successes + 1) / (trials + 2)


# Private


def _worth(chance: Mapping[str, float]) -> tuple[Decimal, Decimal]:
    coming = Quote.objects.filter(state__in=list(chance), event__ready_by__gte=timezone.now()).exclude(
        event__status=Status.CANCELLED
    )
    sums = dict(coming.order_by().values_list("state").annotate(sum=Sum("priced_total")))
    amounts = {state: amount or Decimal(0) for state, amount in sums.items()}
    worth = sum(amounts.values(), Decimal(0))
    likely = sum((amount * Decimal(str(chance[state])) for state, amount in amounts.items()), Decimal(0))
    return worth, likely
