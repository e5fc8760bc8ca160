"""What stands ready for a load run: quotes, sessions, and links by which clients look along."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from quoting.models import Quote
    from studio.models import Person

WIDTH_M, HEIGHT_M = Decimal("7.3"), Decimal("3.28")
STARTER: Final = "ceiling-swags.json"
"""In that width about 300 balloons."""


@dataclass(frozen=True)
class Desk:
    """One owner's quote and session, and the path by which their client looks along."""

    studio: str
    quote_id: int
    cookie: str
    look: str = ""


def make_desks(slug: str, count: int, *, looking: int = 0) -> list[Desk]:
    """As many desks of that studio's owner, made as pages would; at some of them a client looks along."""
    import django

    django.setup()
    from events.models import Event
    from quoting.craft.design.design_file import load_design
    from quoting.design_library import library
    from quoting.quotes import sketch
    from studio import tenancy
    from studio.models import Membership, Studio
    from studio.tenancy.rights import Role

    known = {name: pk for pk, name in tenancy.each_studio()}
    with tenancy.entered(known[slug]):
        person = Membership.objects.select_related("person").filter(role=Role.OWNER)[0].person
    with tenancy.entered(known[slug], slug=slug, role=Role.OWNER, person_id=person.pk):
        studio = Studio.objects.get(pk=known[slug])
        event = Event.objects.filter(status="TENTATIVE").first()
        assert event is not None
        design = load_design(library.STARTERS / STARTER)
        template = library.keep_design(replace(design, name="Load"), studio)
        first = sketch.start_quote(event, template)
        piece = first.pieces.get()
        sketch.alter_piece(first.pk, piece.pk, {}, version=1, width_m=WIDTH_M, height_m=HEIGHT_M)
        piece.refresh_from_db()
        facts = {"design": piece.design, "takeoff": piece.takeoff, "picture": piece.picture}
        desks = []
        for place in range(count):
            quote = sketch.start_quote(event, template)
            quote.pieces.update(width_m=piece.width_m, height_m=piece.height_m, **facts)
            look = _look(quote) if place < looking else ""
            desks.append(Desk(slug, quote.pk, _signed_in(person), look))
    return desks


# --- Private ---


def _look(quote: Quote) -> str:
    from django.urls import reverse

    from quoting.look_along import looking

    return reverse("open-look", args=[looking.let_look(quote).token])


def _signed_in(person: Person) -> str:
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore

    session = SessionStore()
    session[SESSION_KEY] = str(person.pk)
    session[BACKEND_SESSION_KEY] = "allauth.account.auth_backends.AuthenticationBackend"
    session[HASH_SESSION_KEY] = person.get_session_auth_hash()
    session.save()
    return f"sessionid={session.session_key}"
