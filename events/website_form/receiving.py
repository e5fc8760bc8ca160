"""Enquiries that clients write on the studio's own website."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, time, timedelta
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from events.booking import attachments, event_times, log
from events.booking.attachments import Upload
from events.booking.enquiry import take_enquiry
from events.models import Client, Event, WebsiteForm
from events.wishes.wishes import Wished
from studio import tenancy
from studio.measures import times
from studio.models import Studio, entered_studio
from studio.outbox import mail
from studio.people.public_pages import entered_through
from studio.tenancy import counters, links
from studio.tenancy.access import require
from studio.tenancy.counters import Limit
from studio.tenancy.rights import Right, Role

A_DAY: Final = Limit(tries=60, window_seconds=86_400)
"""So many enquiries a day does a studio's form take, whoever sends them."""
READY_BEFORE_GUESTS: Final = timedelta(hours=1)
USUAL_READY_BY: Final = time(16)
"""Common practice, no source: where the client doesn't say when it starts."""


class TooMany(Exception):
    """The studio's form has taken all that it takes in a day."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What a client wrote."""

    name: str
    email: str
    phone: str
    day: date
    starts_at: time | None
    place: str
    wished: Wished
    words: str


def find_form() -> WebsiteForm:
    """The entered studio's form; closed where nobody has touched it."""
    return WebsiteForm.objects.first() or WebsiteForm(slug=tenancy.current().slug)


def switch(*, is_open: bool, greeting: str) -> None:
    """Let clients send enquiries or not, with these words above the form."""
    require(Right.EDIT_STUDIO)
    WebsiteForm.objects.update_or_create(
        defaults={"slug": tenancy.current().slug, "is_open": is_open, "greeting": greeting.strip()}
    )


@contextmanager
def entered(slug: str) -> Iterator[WebsiteForm]:
    """Inside the studio of an open form, as the studio itself. Raises ``Http404``."""
    shown = WebsiteForm.objects.filter(slug=slug, is_open=True)
    with entered_through(shown, slug=slug, role=Role.SYSTEM) as form:
        yield form


def new_key() -> str:
    """The key of one form: the same sent twice is one enquiry."""
    return f"web-{secrets.token_hex(12)}"


def receive(asked: Asked, photo: Upload | None, *, key: str) -> Event:
    """Make an enquiry of what a client wrote, and answer by mail. The same words under the same ``key`` are one.

    Raises ``ValidationError``, naming the fields, and :class:`TooMany`.
    """
    key = f"{key}-{hashlib.sha256(repr(asked).encode()).hexdigest()[:16]}"
    known = Event.objects.filter(asked_under=key).first()
    if known:
        return known
    if counters.count("website form", str(tenancy.current_studio_id()), A_DAY.window_seconds) > A_DAY.tries:
        raise TooMany
    studio = entered_studio()
    with transaction.atomic():
        event = _take(asked, studio, key)
        if photo is not None:
            _attach(event, photo)
        _tell(event, asked, studio, key)
    return event


# --- Private ---


def _take(asked: Asked, studio: Studio, key: str) -> Event:
    """The event, at the usual hour where the client said none. Somebody unknown changes no known client."""
    try:
        windows = _windows(asked, studio)
    except times.NoSuchTime as fault:
        raise ValidationError({"starts_at": str(fault)}) from None
    if windows.out_by <= timezone.now():
        raise ValidationError({"day": _("This day is past.")})
    known = Client.objects.filter(email__iexact=asked.email).first()
    event = take_enquiry(
        title=f"{asked.wished.occasion or 'Enquiry'}: {asked.name}"[:160],
        event_windows=windows,
        client_id=known.pk if known else None,
        client_name=asked.name,
        client_email=asked.email,
        client_phone="" if known else asked.phone,
        said=_said(asked),
        wished=asked.wished,
        key=key,
    )
    log.record(event, "Sent from the website. Nobody checked who wrote it.")
    return event


def _windows(asked: Asked, studio: Studio) -> event_times.EventWindows:
    if asked.starts_at is None:
        return event_times.usual(ready_by=times.local(asked.day, USUAL_READY_BY, studio.tz))
    guests = times.local(asked.day, asked.starts_at, studio.tz)
    return event_times.usual(ready_by=guests - READY_BEFORE_GUESTS, guests_from=guests)


def _said(asked: Asked) -> str:
    lines = [asked.words]
    if asked.place:
        lines.append(f"Place: {asked.place}")
    if asked.phone:
        lines.append(f"Telephone: {asked.phone}")
    if asked.starts_at is None:
        lines.append(f"No time was given: {USUAL_READY_BY:%H:%M} stands in for it.")
    return "\n".join(line for line in lines if line)


def _attach(event: Event, photo: Upload) -> None:
    try:
        attachments.attach(event, photo)
    except attachments.CannotAttach as refusal:
        raise ValidationError({"photo": refusal.messages}) from None


def _tell(event: Event, asked: Asked, studio: Studio, key: str) -> None:
    """A mail to the client that it came, and one to the studio."""
    said = {
        "name": asked.name,
        "day": times.day_written(asked.day, studio.locale),
        "words": asked.words,
        "wishes": asked.wished.occasion,
        "studio": {"name": studio.name, "email": studio.email, "phone": studio.phone},
    }
    mail.post(
        "website_enquiry", to=asked.email, key=f"{key}-client", context=said,
        reply_to=studio.email, sender=studio.name,
    )  # fmt: skip
    if studio.email:
        address = links.absolute(links.to("events:event", event.pk))
        mail.post(
            "website_enquiry_came", to=studio.email, key=f"{key}-studio", context={**said, "address": address},
            reply_to=asked.email,
        )  # fmt: skip
