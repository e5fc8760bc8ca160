"""Who may see and do what: the one table of roles and rights, and the gates that read it.

Pages ask through :func:`studio_page`; domain functions ask again through :func:`require`, so that a rule holds
whoever calls: a page, the worker, a command.
"""

from __future__ import annotations

import enum
from collections.abc import Callable
from functools import partial, wraps
from typing import TYPE_CHECKING, Any, Final, cast

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied

if TYPE_CHECKING:
    from django.http import HttpRequest, HttpResponse

    from studio.models import Person


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


def require(right: Right) -> None:
    """Refuse with :class:`PermissionDenied` unless whoever acts in the entered studio has ``right``."""
    from studio import tenancy

    tenant = tenancy.current()
    if not may(tenant.role, right):
        raise PermissionDenied(f"Your part in this studio ({tenant.role}) may not {right}.")


def studio_page(
    right: Right, *, linked_to: Callable[..., int | None] | None = None
) -> Callable[[Callable[..., HttpResponse]], Callable[..., HttpResponse]]:
    """Make a view a page of one studio: signed in, member of it now, with ``right``, in one transaction.

    The address's ``slug`` is consumed. Who is no member gets 404 (nobody learns which studios exist); a member
    whose role lacks the right gets 403. ``request.tenant`` carries studio, person and role.

    Where nobody is signed in, a phone that took a crew link up opens the page as crew, if ``linked_to`` (given what
    else stands in the address) answers the event of that link; every other page is 404 to it.
    """

    def decorate(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @wraps(view)
        def page(request: HttpRequest, *args: Any, slug: str, **kwargs: Any) -> HttpResponse:
            from studio.people import crew_phones

            by_link = crew_phones.opened(
                request,
                slug,
                right,
                linked_to and partial(linked_to, **kwargs),
                lambda: view(request, *args, **kwargs),
            )
            return by_link or as_member(request, *args, slug=slug, **kwargs)

        @login_required
        def as_member(request: HttpRequest, *args: Any, slug: str, **kwargs: Any) -> HttpResponse:
            from studio import tenancy
            from studio.people import membership as people

            person = cast("Person", request.user)

            with people.membership_entered(person_id=person.pk, slug=slug) as membership:
                request.tenant = tenancy.PageTenant(  # type: ignore[attr-defined]
                    studio=membership.studio, signed_in=person, role=Role(membership.role)
                )
                require(right)
                return view(request, *args, **kwargs)

        page.required_right = right  # type: ignore[attr-defined]
        return page

    return decorate
