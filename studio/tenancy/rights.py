"""The one table of roles and rights: who may see and do what."""

from __future__ import annotations

import enum
from typing import Final


class Role(enum.StrEnum):
    """A person's part in a studio, or the two actors that are no person."""

    OWNER = "owner"
    STAFF = "staff"
    CREW = "crew"
    CLIENT = "client"
    """Whoever holds a client link: sees one offer and may answer it."""
    SYSTEM = "system"
    """The worker and the commands, acting for the studio itself."""


MEMBER_ROLES: Final = (Role.OWNER, Role.STAFF, Role.CREW)


class Right(enum.StrEnum):
    """Something that a page shows or a domain function does."""

    SEE_EVENTS = "see events"
    EDIT_EVENTS = "edit events"
    SEE_CLIENTS = "see clients"
    SEE_LOAD_OUT = "see the load-out list"
    TICK_LOAD_OUT = "tick the load-out list"
    SEE_SHELF = "see the shelf"
    EDIT_SHELF = "edit the shelf"
    SEE_COSTS = "see what things cost the studio"
    HOLD_STOCK = "hold stock"
    SEE_QUOTES = "see quotes and their prices"
    EDIT_QUOTES = "edit quotes"
    SEE_MARGIN = "see cost, margin and break-even"
    OFFER = "send offers"
    VOUCH = "send an offer with something open, on one's own word"
    SEE_INVOICES = "see invoices and what was paid"
    EDIT_INVOICES = "issue invoices and record payments"
    ANSWER_OFFER = "agree to or decline an offer"
    EDIT_STUDIO = "edit the studio's profile, taxes and rates"
    MANAGE_PEOPLE = "invite and remove people"
    SEE_AUDIT = "read the audit trail"


_CREW: Final = frozenset({Right.SEE_EVENTS, Right.SEE_LOAD_OUT, Right.TICK_LOAD_OUT, Right.SEE_SHELF})
_STAFF: Final = _CREW | {
    Right.EDIT_EVENTS,
    Right.SEE_CLIENTS,
    Right.EDIT_SHELF,
    Right.HOLD_STOCK,
    Right.SEE_QUOTES,
    Right.EDIT_QUOTES,
    Right.OFFER,
    Right.SEE_INVOICES,
    Right.EDIT_INVOICES,
    Right.ANSWER_OFFER,
}
_ALL: Final = frozenset(Right)

ROLE_RIGHTS: Final[dict[Role, frozenset[Right]]] = {
    Role.CREW: _CREW,
    Role.STAFF: frozenset(_STAFF),
    Role.OWNER: _ALL,
    Role.CLIENT: frozenset({Right.ANSWER_OFFER}),
    Role.SYSTEM: _ALL,
}


def may(role: Role, right: Right) -> bool:
    """Whether ``role`` has ``right``."""
    return right in ROLE_RIGHTS[role]
