"""The pages that show and change one event."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from events.booking.event_times import EventWindows
from events.models import Event
from tests.events.conftest import BILL, address, agree, seen, stock_up, take
from tests.people import House


def typed_times(event: Event, **more: str) -> dict[str, str]:
    """The times form as it comes, with some of it changed."""
    shown = {
        name: getattr(event, name).astimezone(event.tz).strftime("%Y-%m-%dT%H:%M")
        for name in EventWindows.__dataclass_fields__
        if getattr(event, name)
    }
    return {**shown, "version": str(event.version), **more}


def test_times_kept_unchanged_stay_as_they_are(wickerlark: House, agreed: Event) -> None:
    page = wickerlark.client().post(address(wickerlark, "event-move", agreed), typed_times(agreed))
    assert page.status_code == 302
    with wickerlark.enter():
        kept = Event.objects.get()
        for name in EventWindows.__dataclass_fields__:
            assert getattr(kept, name) == getattr(agreed, name)


def test_moving_to_where_a_frame_is_promised_says_which(wickerlark: House) -> None:
    with wickerlark.enter():
        stock_up()
        first, second = take(days=10), take("Supper", days=14)
        agree(first, bill=(BILL[2], BILL[2]))
        agree(second, key="other")
        first.refresh_from_db()
        second.refresh_from_db()
    page = wickerlark.client().post(
        address(wickerlark, "event-move", first), {**typed_times(second), "version": str(first.version)}
    )
    assert page.status_code == 422
    assert "Ring 6 ft: 1 free of 2 needed" in page.content.decode()


def test_a_form_out_of_date_is_told_so_and_can_be_kept_again(wickerlark: House, enquired: Event) -> None:
    browser, path = wickerlark.client(), address(wickerlark, "event-change", enquired)
    typed = {"title": "Evening", "version": "1"}
    assert browser.post(path, {"title": "Morning", "version": "1"}).status_code == 302
    page = browser.post(path, typed)
    assert page.status_code == 422
    assert "Somebody else has changed this event" in page.content.decode()
    assert 'value="Evening"' in page.content.decode()
    assert (
        browser.post(path, {**typed, "version": page.context["form"]["version"].value()}).status_code == 302
    )
    with wickerlark.enter():
        assert Event.objects.get().title == "Evening"


def test_calling_off_can_be_undone_from_the_notice(wickerlark: House, agreed: Event) -> None:
    browser = wickerlark.client()
    page = browser.post(address(wickerlark, "event-call-off", agreed), {"why": "flood"}, follow=True)
    undo = address(wickerlark, "event-take-up-again", agreed)
    assert f'action="{undo}"' in page.content.decode()
    browser.post(undo)
    with wickerlark.enter():
        assert Event.objects.get().is_agreed


def test_a_note_too_long_or_empty_is_refused_without_harm(wickerlark: House, enquired: Event) -> None:
    browser, path = wickerlark.client(), address(wickerlark, "event-note-add", enquired)
    for text in ("", "  ", "x" * 2001):
        assert browser.post(path, {"text": text}).status_code == 302
    with wickerlark.enter():
        assert enquired.log.count() == 1


@pytest.mark.parametrize("stage", ["enquiry", "offered", "nonsense"])
def test_stages_that_nobody_presses_have_no_address(wickerlark: House, enquired: Event, stage: str) -> None:
    assert (
        wickerlark.client().post(address(wickerlark, "event-stage-change", enquired, stage)).status_code
        == 404
    )


def test_a_stage_that_cannot_follow_is_refused_in_words(wickerlark: House, enquired: Event) -> None:
    page = wickerlark.client().post(
        address(wickerlark, "event-stage-change", enquired, "installed"), follow=True
    )
    assert "An event can&#x27;t go from enquiry to installed." in page.content.decode()


def contact(house: House, ahead: timedelta) -> Event:
    """An event whose client can be reached, ready by so long from now whatever the hour is."""
    with house.enter():
        return take(
            ready_by=timezone.now() + ahead,
            client_phone="617 555 0123",
            said="She thought 600 was too much.",
        )


def test_crew_see_no_contact_and_no_log_before_the_day(wickerlark: House) -> None:
    event = contact(wickerlark, timedelta(days=10))
    crew, office = seen(wickerlark, "crew", event), seen(wickerlark, "staff", event)
    for words in ("adeyo@library.example", "555-0123", "+16175550123", "600 was too much"):
        assert words in office
        assert words not in crew
    assert "Mrs Adeyo" in crew


def test_crew_may_ring_the_client_on_the_day(wickerlark: House) -> None:
    page = seen(wickerlark, "crew", contact(wickerlark, timedelta(hours=5)))
    assert "(617) 555-0123" in page
    assert "adeyo@library.example" not in page
