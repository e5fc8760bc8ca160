"""A client agrees, and a frame is still at another event: the studio hears that it could be transferred from there."""

from __future__ import annotations

from datetime import timedelta

import pytest

from events.booking import enquiry, event_times
from events.jobs import commitment
from events.jobs.commitment import BillLine
from events.models import Event
from events.transfers import changing
from quoting.offers import agreeing
from stock.models import AgreedTransfer
from tests.people import House
from tests.quoting.offer_scenes import offered
from tests.quoting.offers.test_agreeing import agree, one_frame_left

FRAME = "frame-arch-7ft"


def at_the_bakery(event: Event) -> Event:
    """A bakery that has a frame until an hour before the event's crew comes in, agreed."""
    times = event_times.usual(ready_by=event.access_from - timedelta(hours=8))
    bakery = enquiry.take_enquiry(title="Bakery", event_windows=times, client_name="Bea")
    commitment.commit(bakery.pk, bill=[BillLine(FRAME, "Arch frame 7ft", 1)], work=[], key="bakery")
    return bakery


def test_the_studio_hears_of_the_other_event_and_the_client_does_not(wickerlark: House) -> None:
    made = offered(wickerlark).offer
    with wickerlark.enter():
        event = Event.objects.get(quotes=made.quote_id)
        bakery = at_the_bakery(event)
        one_frame_left()
    with pytest.raises(agreeing.Gone) as refused:
        agree(wickerlark, made)
    assert "Bakery" not in " ".join(refused.value.messages)
    (hint,) = [words for words in refused.value.for_studio if "transferred" in words]
    assert hint.startswith("Arch frame 7ft could be transferred from Bakery, there by ")

    with wickerlark.enter():
        event.refresh_from_db()
        assert not event.is_agreed
        changing.set_transfer(event.pk, giver_id=bakery.pk, code=FRAME, quantity=1, unwashed=True)
    agree(wickerlark, made)
    with wickerlark.enter():
        event.refresh_from_db()
        assert (AgreedTransfer.objects.get().taker_id, event.is_agreed) == (event.hold_id, True)
