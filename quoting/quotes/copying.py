"""A quote taken over to another event: the same pieces and lines, worked out and priced anew for that day and place."""

from __future__ import annotations

from django.db import transaction

from events.booking import stages
from events.models import Event, Stage
from quoting.models import Quote
from quoting.quotes import sheet, sketch
from quoting.quotes.steps import ClosedSketch, reprice
from quoting.set_pieces import site
from studio import tenancy
from studio.models import entered_studio
from studio.models.spelling import spelled
from studio.tenancy.access import require
from studio.tenancy.rights import Right


def copy_quote(quote_id: int, event: Event) -> Quote:
    """A new quote for ``event`` with the pieces and free lines of another one, open or agreed.

    The pieces go under the new venue's roof or sky; the way there is the new venue's. What was arranged for the other
    day stays behind: rush, discount, prices set by hand, deposit and instalments. Raises ``ClosedSketch``, ``Http404``.
    """
    require(Right.EDIT_QUOTES)
    source = sheet.find_quote(quote_id)
    if event.is_off:
        raise ClosedSketch(spelled("This event was canceled. Reopen it before you quote it."))
    with transaction.atomic():
        venue = event.venue
        made = Quote.objects.create(
            event=event,
            title=event.title[:160],
            drive_minutes=venue.drive_minutes if venue else 0,
            distance_m=source.distance_m if venue and venue == source.event.venue else 0,
            trips=source.trips,
            changed_by_id=tenancy.current().person_id,
        )
        for piece in source.pieces.order_by("position"):
            piece.pk, piece.quote, piece.by_hand = None, made, {}
            sketch.work_out(piece, site.first_placed(sketch.design_of(piece), venue, entered_studio()))
        for line in source.free_lines.order_by("position", "pk"):
            line.pk, line.quote = None, made
            line.save()
        reprice(sheet.read_sheet(made, entered_studio(), pictures=False))
        if event.stage == Stage.ENQUIRY:
            stages.reach(event.pk, Stage.SKETCH)
    return made
