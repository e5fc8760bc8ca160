"""What stands ready in the tests of the events room: an enquiry in each studio, and a stocked shelf."""

from __future__ import annotations

import io
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Protocol

import pdfplumber
import pytest
from django.test import Client as Browser
from django.utils import timezone

from events.booking import enquiry, event_times
from events.jobs import commitment
from events.jobs.commitment import BillLine, Commitment, PlannedWork
from events.loadout import ticks
from events.loadout.ticks import TickOp
from events.models import Event, LoadOutLine, TickKind
from stock.models import Kind
from tests import shelf
from tests.people import House
from tests.worker import print_papers


def days_ahead(days: int, hour: int = 20) -> datetime:
    """A round moment so many days from now."""
    return (datetime.now(UTC) + timedelta(days=days)).replace(hour=hour, minute=0, second=0, microsecond=0)


def take(title: str = "Library centenary", *, days: int = 10, **more: Any) -> Event:
    """An enquiry in the entered studio; ready by 20:00 UTC in so many days."""
    ready_by = more.pop("ready_by", days_ahead(days))
    facts = {"client_name": "Mrs Adeyo", "client_email": "adeyo@library.example", **more}
    return enquiry.take_enquiry(title=title, event_windows=event_times.usual(ready_by=ready_by), **facts)


def stock_up() -> None:
    """Two rings, their covers, and 200 of one latex, in the entered studio."""
    oat = shelf.colours({"Oat": "#E2CFA6"})["oat"]
    ring = shelf.thing(Kind.FRAME, "Ring 6 ft", code="ring-6ft", place="bay C2", turnaround_hours=2)
    rows = [
        (ring, 2),
        (shelf.thing(Kind.COVER, "Ring cover oat", code="cover-oat", place="shelf F"), 2),
        (shelf.thing(Kind.FLORAL, "Greenery", place="loft"), 40),
        (shelf.latex(oat, 11, bag_size=100), 200),
        (shelf.latex(oat, 5, bag_size=100), 200),
    ]
    shelf.put(rows)


BILL = (
    BillLine("latex-11-oat", "Oat 11 in", 120, "Garland", "garland"),
    BillLine("latex-5-oat", "Oat 5 in", 80, "Garland", "garland"),
    BillLine("ring-6ft", "Ring 6 ft", 1, "Ring", "frames"),
    BillLine("cover-oat", "Ring cover oat", 1, "Ring", "frames"),
    BillLine("greenery", "Greenery", 12, "Garland", "florals"),
)
WORK = (PlannedWork("prep", 186), PlannedWork("install", 130.5), PlannedWork("strike", 40))


@dataclass(frozen=True)
class Promised:
    """An agreed event and what came of agreeing."""

    event: Event
    commitment: Commitment


def agree(event: Event, *, key: str = "quote-1-v1", bill: tuple[BillLine, ...] = BILL) -> Commitment:
    """Commit the usual bill to the event."""
    return commitment.commit(event.pk, bill=bill, work=WORK, key=key)


def said(line: LoadOutLine, count: int, kind: TickKind = TickKind.LOADED, **more: Any) -> TickOp:
    """A tick as a phone makes it."""
    facts: dict[str, Any] = {"uuid": uuid.uuid4(), "made_at": timezone.now(), **more}
    return TickOp(line_id=line.pk, count=count, kind=kind, **facts)


def all_back(event: Event) -> None:
    """Say of every line that all of it is back."""
    lines = LoadOutLine.objects.filter(event=event, dropped=False)
    ticks.save_ticks(event.pk, [said(line, line.quantity, TickKind.BACK) for line in lines])


def printed(house: House, browser: Browser, event: Event, kind: str) -> bytes:
    """A paper of the event as the worker prints it for whoever asks in that browser."""
    ordered = browser.post(house.url("events:paper-make", event.pk, kind))
    assert ordered.status_code == 302
    print_papers(house)
    digest = ordered["Location"].split("/")[-2]
    page = browser.get(house.url("events:paper-open", event.pk, kind, digest))
    assert (page.status_code, page["Content-Type"]) == (200, "application/pdf")
    return bytes(page.content)


def words_on(content: bytes) -> str:
    """What is written on a PDF, in one line."""
    with pdfplumber.open(io.BytesIO(content)) as document:
        return " ".join(" ".join((page.extract_text() or "").split()) for page in document.pages)


class Answered(Protocol):
    """What a browser of the tests was answered."""

    @property
    def content(self) -> Any: ...
    def __getitem__(self, header: Any) -> Any: ...


def said_by(page: Answered) -> str:
    """What a page or a PDF says, with single spaces."""
    content = bytes(page.content)
    return (
        words_on(content) if page["Content-Type"] == "application/pdf" else " ".join(content.decode().split())
    )


def address(house: House, name: str, event: Event | None = None, *more: object) -> str:
    """A page of the house, of the event if one is given."""
    return house.url(f"events:{name}", *((event.pk,) if event else ()), *more)


def seen(house: House, role: str, event: Event, name: str = "event") -> str:
    """The page as that role sees it."""
    return house.client(role).get(address(house, name, event)).content.decode()


@pytest.fixture
def enquired(wickerlark: House) -> Event:
    """An event that was only asked for."""
    with wickerlark.enter():
        return take()


@pytest.fixture
def agreed(wickerlark: House) -> Event:
    """An event that is agreed, with its stock held and its list made."""
    with wickerlark.enter():
        stock_up()
        event = take()
        agree(event)
        event.refresh_from_db()
    return event
