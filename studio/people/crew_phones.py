"""Phones that crew use by a link: bound to one device and one subject (the events room says which event).

The link's token names the studio; what the device keeps besides proves that it is the one that took the link up. Both
lie in one signed cookie that no script reads, so a link that is forwarded opens nothing on another device.
"""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.crypto import constant_time_compare

from studio import tenancy
from studio.models import CrewPhone, LinkPurpose, PublicLink, entered_studio, remember_studio
from studio.people import public_links
from studio.people.page_request import PageTenant, StudioRequest
from studio.people.public_links import FoundLink
from studio.tenancy.access import require
from studio.tenancy.rights import Right, Role

COOKIE: Final = "crew_phone_"
SALT: Final = "studio.crew_phones"
REMEMBERED: Final = timedelta(days=60)
"""So long after its end a phone is still told that its link has ended."""
MOST_COOKIES: Final = 12
"""A phone that was given more events than this at once opens the latest of them only."""


class TakenElsewhere(ValidationError):
    """Another device took the link up first."""


@dataclass(frozen=True)
class HeldPhone:
    """What a browser keeps of one link: which phone it is, and what its token opens or once opened."""

    phone_id: int
    found: FoundLink
    device_hash: str

    def enter(self) -> AbstractContextManager[tenancy.Tenant]:
        """Act as this phone in its studio, for one transaction."""
        return tenancy.entered(self.found.studio_id, role=Role.CREW, phone_id=self.phone_id)

    def row(self) -> CrewPhone | None:
        """The phone, if its link is open and this is its device; the studio must be entered."""
        phone = (
            CrewPhone.objects.select_related("studio")
            .defer("studio__logo")
            .filter(pk=self.phone_id, link_id=self.found.link_id, studio__closed_at=None)
            .first()
        )
        fits = phone and self.found.is_open and constant_time_compare(phone.device_hash, self.device_hash)
        if not phone or not fits:
            return None
        remember_studio(phone.studio)
        return phone


# --- Given, taken up, ended ---


def give(*, name: str, subject_id: int, expires_at: datetime) -> tuple[CrewPhone, str]:
    """A phone of the entered studio that may take the subject up, and the token of its link, told this once."""
    with transaction.atomic():
        made = public_links.make(LinkPurpose.CREW_CALL, subject_id=subject_id, expires_at=expires_at)
        return CrewPhone.objects.create(name=name, link=made.link), made.token


def renew(phone: CrewPhone, *, expires_at: datetime) -> str:
    """Another link for the same phone; the one before ends. Answers its token, told this once."""
    with transaction.atomic():
        end(phone)
        made = public_links.make(
            LinkPurpose.CREW_CALL, subject_id=phone.link.subject_id, expires_at=expires_at
        )
        phone.link = made.link
        phone.save(update_fields=["link"])
    return made.token


def end(phone: CrewPhone) -> None:
    """End the phone's link at once, whichever device has it."""
    with transaction.atomic():
        PublicLink.objects.filter(pk=phone.link_id, revoked_at=None).update(revoked_at=timezone.now())
        phone.device_hash, phone.taken_at = "", None
        phone.save(update_fields=["device_hash", "taken_at"])


def take_up(found: FoundLink) -> tuple[CrewPhone, str]:
    """Bind the link to the device that asks: the first one gets it. Answers what that device is to keep.

    Raises :class:`TakenElsewhere`; the link's studio must be entered.
    """
    device = secrets.token_urlsafe(24)
    taken = CrewPhone.objects.filter(link_id=found.link_id, device_hash="").update(
        device_hash=_hash(device), taken_at=timezone.now()
    )
    if not taken:
        raise TakenElsewhere("Another phone uses this link.")
    return CrewPhone.objects.select_related("link").get(link_id=found.link_id), device


def keep(response: HttpResponse, phone: CrewPhone, *, token: str, device: str) -> None:
    """Let the device that took the link up remember it."""
    lasts = phone.link.expires_at - timezone.now() + REMEMBERED
    response.set_signed_cookie(
        f"{COOKIE}{phone.pk}",
        f"{token}.{device}",
        salt=SALT,
        max_age=int(lasts.total_seconds()),
        httponly=True,
        secure=settings.SESSION_COOKIE_SECURE,
        samesite="Lax",
    )


# --- What a browser may open ---


def held(request: HttpRequest) -> Iterator[HeldPhone]:
    """The links that this browser took up, ended ones as well; none while somebody is signed in."""
    if request.user.is_authenticated:
        return
    names = [name for name in request.COOKIES if name.startswith(COOKIE)]
    for name in sorted(names, key=_number, reverse=True)[:MOST_COOKIES]:
        kept = request.get_signed_cookie(name, default=None, salt=SALT)
        token, _, device = (kept or "").partition(".")
        found = public_links.find_even_ended(token, LinkPurpose.CREW_CALL) if device else None
        if found:
            yield HeldPhone(_number(name), found, _hash(device))


def holds(request: HttpRequest, phone_id: int) -> bool:
    """Whether this browser is that phone's device now, and its link is open."""
    for each in held(request):
        if each.phone_id == phone_id:
            with each.enter():
                return each.row() is not None
    return False


def opened(
    request: StudioRequest, slug: str, right: Right, subject: Callable[[], int | None] | None,
    view: Callable[[], HttpResponse],
) -> HttpResponse | None:  # fmt: skip
    """The page as one of this browser's links opens it, or the word that the link has ended.

    ``subject`` says, inside the studio, what the page is about; none for a page that no link opens: then, and for
    every other page of a studio, the answer to a link is "not found". Nothing where no link is open: sign in.
    """
    from django.http import Http404

    any_open, told_ended = False, None
    for each in held(request):
        with each.enter() as tenant:
            phone = each.row()
            any_open = any_open or phone is not None
            if tenant.slug != slug or subject is None or subject() != each.found.subject_id:
                continue
            if phone is None:
                told_ended = told_ended or ended(request, each.phone_id)
                continue
            request.tenant = PageTenant(phone.studio, None, Role.CREW, phone)
            require(right)
            return view()
    if any_open and told_ended is None:
        raise Http404
    return told_ended


def ended(request: HttpRequest, phone_id: int | None = None) -> HttpResponse:
    """The page that says that a link has ended and where to turn; the link's studio is entered."""
    context = {"studio": entered_studio(), "ended_phone": phone_id}
    return render(request, "studio/people/crew_phone_ended.html", context, status=410)


# --- Private ---


def _number(name: str) -> int:
    number = name.removeprefix(COOKIE)
    return int(number) if number.isdecimal() and len(number) < 19 else 0


def _hash(device: str) -> str:
    return hashlib.sha256(device.encode()).hexdigest()
