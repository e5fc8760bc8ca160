"""Unguessable links: made, resolved, revoked. Only a token's hash is kept."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime

from django.db import connection, transaction
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from studio.models import LinkPurpose, PublicLink


@dataclass(frozen=True)
class MadeLink:
    """A link and, this once, its token."""

    link: PublicLink
    token: str


@dataclass(frozen=True)
class FoundLink:
    """What a token opens: ids only."""

    link_id: int
    studio_id: int
    subject_id: int
    handle: str
    is_open: bool = True


def make(purpose: LinkPurpose, *, subject_id: int, expires_at: datetime) -> MadeLink:
    """A new link of the entered studio; its token (192 bits) is told once and never stored."""
    token = secrets.token_urlsafe(24)
    link = PublicLink.objects.create(
        purpose=purpose,
        subject_id=subject_id,
        token_hash=_hash(token),
        handle=secrets.token_hex(6),
        expires_at=expires_at,
    )
    return MadeLink(link, token)


def find(token: str, purpose: LinkPurpose) -> FoundLink | None:
    """What the token opens, or nothing if it is unknown, expired, revoked or of another purpose."""
    found = find_even_ended(token, purpose)
    return found if found and found.is_open else None


def find_even_ended(token: str, purpose: LinkPurpose) -> FoundLink | None:
    """What the token opens or once opened: whoever holds it may be told whose link has ended."""
    with transaction.atomic():
        _show_hash(_hash(token))
        link = (
            PublicLink.objects.filter(token_hash=_hash(token), purpose=purpose)
            .annotate(is_open=Q(revoked_at=None, expires_at__gt=timezone.now()))
            .values_list("pk", "studio_id", "subject_id", "handle", "is_open")
            .first()
        )
        _show_hash("")
    return FoundLink(*link) if link else None


def is_open(purpose: LinkPurpose, *, subject_id: int) -> bool:
    """Whether any link of the entered studio opens that subject now."""
    links = PublicLink.objects.filter(purpose=purpose, subject_id=subject_id, revoked_at=None)
    return links.filter(expires_at__gt=timezone.now()).exists()


def revoke(purpose: LinkPurpose, *, subject_id: int) -> None:
    """Close every open link of the entered studio to that subject."""
    PublicLink.objects.filter(purpose=purpose, subject_id=subject_id, revoked_at=None).update(
        revoked_at=timezone.now()
    )


def keep_in_cookie(response: HttpResponse, token: str, found: FoundLink, *, path: str) -> None:
    """Let the browser remember the token for ``path``, so that the address itself can be clean."""
    from django.conf import settings

    response.set_signed_cookie(
        _cookie_name(found.handle),
        token,
        salt="studio.public_links",
        path=path,
        max_age=60 * 60 * 24 * 60,
        httponly=True,
        secure=settings.SESSION_COOKIE_SECURE,
        samesite="Lax",
    )


def from_cookie(request: HttpRequest, handle: str, purpose: LinkPurpose) -> FoundLink | None:
    """The link that this browser was given, looked up anew: revoking it works at once."""
    token = request.get_signed_cookie(_cookie_name(handle), default=None, salt="studio.public_links")
    found = find(token, purpose) if token else None
    return found if found and found.handle == handle else None


def _cookie_name(handle: str) -> str:
    return f"link_{handle}"


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _show_hash(token_hash: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT set_config('billowbook.token', %s, true)", [token_hash])
