"""How likely a quote comes about, judged by how the studio's own quotes went."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, NamedTuple

from django.db.models import Count, Q, Sum
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
    """Of the entered studio. One query, whatever the number of quotes.

    Laplace's rule of succession: of n quotes that were settled, s were agreed, the next is with (s + 1) / (n + 2)
    (Essai philosophique sur les probabilités, 1814). An offer is judged by all that were offered, a sketch by all
    that there were: one whose day passed unanswered counts as not agreed. A declined one is not counted upon.
    """
    require(Right.SEE_QUOTES)
    tallies = _tally_states()
    settled = Counter({state: tallies[state].quotes for state in SETTLED if state in tallies})
    unanswered = Counter({state: tally.past for state, tally in tallies.items() if state not in SETTLED})
    agreed = settled[QuoteState.AGREED]
    offered = agreed + settled[QuoteState.DECLINED] + unanswered[QuoteState.OFFERED]
    sketched = offered + settled[QuoteState.SET_ASIDE] + unanswered[QuoteState.SKETCH]
    chance = {
        QuoteState.OFFERED.value: succession(agreed, offered),
        QuoteState.SKETCH.value: succession(agreed, sketched),
        QuoteState.DECLINED.value: 0.0,
    }
    worth = {state: tallies[state].coming_worth or Decimal(0) for state in chance if state in tallies}
    likely = sum((amount * Decimal(str(chance[state])) for state, amount in worth.items()), Decimal(0))
    return Outlook(chance, sketched, sum(worth.values(), Decimal(0)), likely)


def succession(successes: int, trials: int) -> float:
    """The chance of one more success (Laplace 1814)."""
    return (successes + 1) / (trials + 2)


# Private


class _Tally(NamedTuple):
    """The quotes in one state: how many, how many of them for a day that is over, and what those ahead are worth."""

    quotes: int
    past: int
    coming_worth: Decimal | None


def _tally_states() -> dict[str, _Tally]:
    now = timezone.now()
    ahead = Q(event__ready_by__gte=now) & ~Q(event__status=Status.CANCELLED)
    states = Quote.objects.filter(variant_of=None).order_by().values_list("state")
    rows = states.annotate(
        Count("pk"),
        past=Count("pk", filter=Q(event__ready_by__lt=now)),
        worth=Sum("priced_total", filter=ahead),
    )
    return {state: _Tally._make(tally) for state, *tally in rows}
