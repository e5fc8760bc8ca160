"""The crew on the day of an event: how many people the studio has, and how many other agreed events need them then.

Other events count with the crew that their agreed designs ask for on site, whoever is assigned by name.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Final

from django.db.models import IntegerField, Max, QuerySet
from django.db.models.fields.json import KeyTextTransform
from django.db.models.functions import Cast

from events.models import Event, Status
from quoting.models import QuoteState, SetPiece
from studio.models import Membership
from studio.tenancy.kept_query import Given, KeptQuery
from studio.tenancy.rights import Role

NUMBERS: Final = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@dataclass(frozen=True, slots=True)
class Crew:
    """People who go out on installs, and the other agreed events of the same hours with how many each takes."""

    people: int
    others: tuple[tuple[str, int], ...] = ()

    @property
    def taken(self) -> int:
        """People whom the other events take."""
        return sum(people for _, people in self.others)

    @property
    def free(self) -> int:
        """People who are left; none if the others ask for more than there are."""
        return max(0, self.people - self.taken)


def crew_among(roles: Collection[str], event: Event, *, has_others: bool) -> Crew:
    """People with these roles on the day of an event. Where nobody is crew, everybody goes out. No query where it is
    known that no other agreed event needs them."""
    crew = sum(role == Role.CREW for role in roles)
    others = _agreed_beside(event) if has_others else ()
    return Crew(crew or len(roles), tuple((title, needed or 1) for title, needed in others))


def roles() -> QuerySet[Membership, str]:
    """The role of everybody in the studio."""
    return Membership.objects.order_by().values_list("role", flat=True)


def others() -> QuerySet[Event, tuple[int, str]]:
    """The agreed events of some hours but one, by when they leave: between ``start`` and ``end``, not ``event``."""
    out = Event.objects.filter(
        status=Status.CONFIRMED, load_out_at__lt=Given("end"), back_at__gt=Given("start")
    )
    return out.exclude(pk=Given("event")).order_by("load_out_at", "pk").values_list("pk", "title")


def words(found: Crew, minutes: float, needed: int) -> tuple[bool, str, str]:
    """Whether they are too few, and what to say of them: hours of work and who is free, then why."""
    lead = f"crew: {minutes / 60:.1f} h, {counted(found.free)} free"
    if found.others:
        title = found.others[0][0]
        more = f" and {len(found.others) - 1} more" if len(found.others) > 1 else ""
        return found.free < needed, lead, f"{counted(needed)} needed, with {title}{more} at the same time"
    return found.free < needed, lead, f"{counted(needed)} needed" if found.free < needed else ""


def counted(people: int) -> str:
    """People in words: ``two people``, ``one person``, ``14 people``."""
    number = NUMBERS[people] if people < len(NUMBERS) else str(people)
    return f"{number} {'person' if people == 1 else 'people'}"


# Private


_OTHERS: Final = KeptQuery(others)


def _agreed_beside(event: Event) -> list[tuple[str, int | None]]:
    """Other agreed events of the same hours with the largest crew that one of their pieces asks for."""
    titles = dict(_OTHERS.rows(event=event.pk, start=event.load_out_at, end=event.back_at))
    crews = _crews(titles) if titles else {}
    return [(title, crews.get(pk)) for pk, title in titles.items()]


def _crews(events: Iterable[int]) -> dict[int, int]:
    """The largest crew of the agreed pieces of each of these events."""
    crew = Cast(KeyTextTransform("crew", "takeoff"), IntegerField())
    agreed = SetPiece.objects.filter(quote__event__in=events, quote__state=QuoteState.AGREED)
    return dict(agreed.order_by().values_list("quote__event").annotate(most=Max(crew)))
