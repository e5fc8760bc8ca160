"""The gate in front of every page of a studio."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial, wraps
from typing import cast

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse

from studio.measures.languages import speaking
from studio.models import Person
from studio.people import crew_phones, membership
from studio.people.page_request import PageTenant, StudioRequest
from studio.people.rate_limit import too_much
from studio.tenancy import fair_share
from studio.tenancy.access import require
from studio.tenancy.rights import Right, Role


def in_own_language(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Make a studio's page speak the language of whoever reads it: of the person or phone, else the studio's.

    It stands below :func:`studio_page`. Pages of the office go without it: they are English.
    """

    @wraps(view)
    def page(request: StudioRequest, *args: object, **kwargs: object) -> HttpResponse:
        with speaking(request.tenant.language):
            return view(request, *args, **kwargs)

    return page


def studio_page(
    right: Right, *, linked_to: Callable[..., int | None] | None = None, many_at_once: bool = False
) -> Callable[[Callable[..., HttpResponse]], Callable[..., HttpResponse]]:
    """Make a view a page of one studio: signed in, member of it now, with ``right``, in one transaction.

    The address's ``slug`` is consumed. Who is no member gets 404 (nobody learns which studios exist); a member
    whose role lacks the right gets 403. ``request.tenant`` carries studio, person and role.

    Where nobody is signed in, a phone that took a crew link up opens the page as crew, if ``linked_to`` (given what
    else stands in the address) answers the event of that link; every other page is 404 to it.

    Who is over their fair share gets 429; ``many_at_once`` for pictures, of which one page loads many.
    """

    def decorate(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @wraps(view)
        def page(request: StudioRequest, *args: object, slug: str, **kwargs: object) -> HttpResponse:
            subject = linked_to and partial(linked_to, **kwargs)
            try:
                by_link = crew_phones.opened(
                    request, slug, right, subject, partial(in_turn, request, *args, **kwargs)
                )
                return by_link or as_member(request, *args, slug=slug, **kwargs)
            except fair_share.TooMuch as refusal:
                return too_much(request, refusal)

        @login_required
        def as_member(request: StudioRequest, *args: object, slug: str, **kwargs: object) -> HttpResponse:
            person = cast("Person", request.user)

            with membership.membership_entered(person_id=person.pk, slug=slug) as member:
                request.tenant = PageTenant(studio=member.studio, signed_in=person, role=Role(member.role))
                require(right)
                return in_turn(request, *args, **kwargs)

        def in_turn(request: StudioRequest, *args: object, **kwargs: object) -> HttpResponse:
            with fair_share.of_page(many_at_once=many_at_once):
                return view(request, *args, **kwargs)

        vars(page)["required_right"] = right
        return page

    return decorate
