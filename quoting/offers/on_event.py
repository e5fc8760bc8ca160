"""Open offers as the studio's agenda lists them."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils import timezone

from events.calendar.agenda import DueItem
from quoting.models import Offer, OfferState
from studio import tenancy
from studio.measures.times import Window
from studio.tenancy import links
from studio.tenancy.rights import Right, may


def offers_about_to_lapse(span: Window) -> Iterable[DueItem]:
    """Open offers that lapse within the span. One query; none for people who see no prices."""
    if not may(tenancy.current().role, Right.SEE_QUOTES):
        return []
    open_ones = Offer.objects.filter(
        state=OfferState.OPEN, expires_at__gte=max(span.start, timezone.now()), expires_at__lt=span.end
    )
    return [
        DueItem(
            offer.expires_at,
            "Offer lapses",
            offer.quote.event.title,
            links.to("quoting:offer", offer.pk),
            offer.quote.event_id,
        )
        for offer in open_ones.select_related("quote__event").defer("frozen")
    ]
