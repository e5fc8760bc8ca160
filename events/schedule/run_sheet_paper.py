"""The run sheet on paper: the event by the clock, with whom to call."""

from __future__ import annotations

from django.shortcuts import get_object_or_404

from events.contacts import reachable
from events.models import Event
from events.schedule import run_sheet
from studio.models import Studio
from studio.paper import pdf
from studio.paper.written_out import WrittenOut, write_out


def write_run_sheet(event_id: int, studio: Studio) -> WrittenOut:
    """The run sheet to be printed, with the numbers that whoever acts may see now. Raises ``Http404``."""
    event = get_object_or_404(Event.objects.select_related("client", "venue"), pk=event_id)
    context = {
        **reachable.shown_contacts(event, studio),
        "sheet": run_sheet.find_run_sheet(event, studio),
        "paper": pdf.paper(studio),
    }
    return write_out(f"run-sheet-{event.pk}", "events/schedule/pdf/run_sheet.html", context)
