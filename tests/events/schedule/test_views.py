"""The pages of a shift: its times are read, refused and set through the page."""

from __future__ import annotations

from events.models import Event, ShiftKind
from tests.people import House


def test_the_times_of_a_shift_are_set_on_their_page(wickerlark: House, agreed: Event) -> None:
    browser, path = (
        wickerlark.client("staff"),
        wickerlark.url("events:shift-times-change", agreed.pk, ShiftKind.INSTALL),
    )
    page = browser.get(path)
    assert page.status_code == 200
    assert agreed.title in page.content.decode()
    form = page.context["form"]
    times = {name: form.initial[name].strftime("%Y-%m-%dT%H:%M") for name in ("starts_at", "ends_at")}
    backwards = {"starts_at": times["ends_at"], "ends_at": times["starts_at"]}
    refused = browser.post(path, backwards)
    assert refused.status_code == 422
    assert times["ends_at"] in refused.content.decode(), "what was typed stays"
    saved = browser.post(path, times)
    assert saved.status_code == 302
    with wickerlark.enter():
        shift = agreed.shifts.get(kind=ShiftKind.INSTALL)
        assert shift.starts_at.astimezone(agreed.tz).strftime("%Y-%m-%dT%H:%M") == times["starts_at"]


def test_a_shift_of_no_kind_has_no_page(wickerlark: House, agreed: Event) -> None:
    path = wickerlark.url("events:shift-times-change", agreed.pk, "dancing")
    assert wickerlark.client("staff").get(path).status_code == 404
