"""Opening a studio in the browser: by an invitation of whoever runs the server, or by anybody where they allow it."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from django.conf import settings
from django.core import signing
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.text import slugify

from studio import tenancy
from studio.measures.countries import usual_ways
from studio.models import Person, Studio
from studio.people.membership import found_studio
from studio.registry import Registry
from studio.tenancy import counters
from studio.tenancy.counters import Limit
from studio.tenancy.links import absolute
from studio.tenancy.rights import Role

after_opening: Registry[Callable[[], None]] = Registry()
"""What other rooms do in a studio that has just been opened, in the same transaction."""

INVITED_DAYS: Final = 7
SALT: Final = "studio.people.opening"
A_DAY: Final = Limit(tries=3, window_seconds=86_400)
"""So many studios may one person open in a day."""
SHORT_NAMES_TRIED: Final = 50


@dataclass(frozen=True, slots=True)
class InvitationToOpen:
    """Who may open one studio, and the key by which that happens once."""

    email: str
    key: str


def invite_to_open(email: str) -> str:
    """The address, good for seven days and one studio, at which the holder of ``email`` opens a studio."""
    invitation = {"email": email.strip().lower(), "key": secrets.token_urlsafe(18)}
    return absolute(f"/open/{signing.dumps(invitation, salt=SALT)}/")


def read_invitation(token: str) -> InvitationToOpen | None:
    """What a token says, or nothing if it is not ours or too old. Only opening tells whether it was used before."""
    try:
        said = signing.loads(token, salt=SALT, max_age=INVITED_DAYS * 86_400)
    except signing.BadSignature:
        return None
    return InvitationToOpen(said["email"], said["key"])


def may_anybody_open() -> bool:
    """Whether this installation lets people open studios without an invitation."""
    return bool(settings.OPEN_SIGN_UP)


def open_studio(
    *, owner: Person, name: str, country: str, zone: str, invitation: InvitationToOpen | None
) -> Studio:
    """A new studio with the usual ways of its country, its first steps ahead.

    Raises ``ValidationError`` if the invitation is another person's or was used, or if nobody may open one without.
    """
    if invitation is None and not may_anybody_open():
        raise ValidationError("Ask whoever runs this server for an invitation.")
    if invitation and invitation.email != owner.email.lower():
        raise ValidationError(
            f"This invitation is for {invitation.email}; you are signed in as {owner.email}. "
            "Sign in with that address, or ask for an invitation of this one."
        )
    if counters.count("open a studio", str(owner.pk), A_DAY.window_seconds) > A_DAY.tries:
        raise ValidationError(f"You tried to open {A_DAY.tries} studios today. Try again tomorrow.")
    ways = usual_ways(country)
    return _found(
        owner,
        name,
        country=country,
        locale=ways.locale,
        currency=ways.currency,
        units=ways.units,
        zone=zone if zone in ways.zones else ways.zones[0],
        email=owner.email,
        opening_key=invitation.key if invitation else None,
        first_steps_open=True,
    )


# --- Private ---


def _found(owner: Person, name: str, **profile: object) -> Studio:
    """The studio under the first short name that is free; other studios' names can't be seen, only met."""
    start = slugify(name)[:50].strip("-") or "studio"
    for number in range(1, SHORT_NAMES_TRIED):
        slug = start if number == 1 else f"{start}-{number}"
        try:
            with transaction.atomic():
                studio = found_studio(owner=owner, slug=slug, name=name, **profile)
                with tenancy.entered(studio.pk, slug=slug, role=Role.OWNER, person_id=owner.pk):
                    for furnish in after_opening:
                        furnish()
                return studio
        except IntegrityError as fault:
            if "opening_key" in str(fault):
                raise ValidationError(
                    "This invitation was already used. Ask whoever runs this server for a new one."
                ) from None
            if "slug" not in str(fault):
                raise
    raise ValidationError({"name": "Too many studios have this name. Choose another."})
