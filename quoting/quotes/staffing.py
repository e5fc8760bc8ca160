"""Hands for the day of an event: how many people the studio has, and how many other agreed events need them then.

Nobody is put on an event by name yet, so what others take is what their agreed designs ask for on site.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from django.db.models import IntegerField, Max, Q
from django.db.models.fields.json import KeyTextTransform
from django.db.models.functions import Cast

from events.models import Event, Status
from quoting.models import QuoteState
from studio.models import Membership
from studio.tenancy.rights import Role

NUMBERS: Final = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@dataclass(frozen=True, slots=True)
class Hands:
    """People who go out on installs, and the other agreed events of the same hours with the hands that each takes."""

    people: int
    others: tuple[tuple[str, int], ...] = ()

    @property
    def taken(self) -> int:
        """Hands that the other events take."""
        return sum(hands for _, hands in self.others)

    @property
    def free(self) -> int:
        """People who are left; none if the others ask for more than there are."""
        return max(0, self.people - self.taken)


def free_for(event: Event) -> Hands:
    """The studio's people, and the other agreed events of the same hours. Where nobody is crew, everybody goes out."""
    crew = Cast(KeyTextTransform("crew", "quotes__pieces__takeoff"), IntegerField())
    others = (
        Event.objects.filter(
            status=Status.CONFIRMED, load_out_at__lt=event.back_at, back_at__gt=event.load_out_at
        )
        .exclude(pk=event.pk)
        .annotate(crew=Max(crew, filter=Q(quotes__state=QuoteState.AGREED)))
        .order_by("load_out_at", "pk")
        .values_list("title", "crew")
    )
    roles = list(Membership.objects.order_by().values_list("role", flat=True))
    out = roles.count(Role.CREW) or len(roles)
    return Hands(out, tuple((title, needed or 1) for title, needed in others))


def words(found: Hands, minutes: float, needed: int) -> tuple[bool, str, str]:
    """Whether they are too few, and what to say of them: hours of work and who is free, then why."""
    lead = f"crew: {minutes / 60:.1f} h, {counted(found.free)} free"
    if found.others:
        title = found.others[0][0]
        more = f" and {len(found.others) - 1} more" if len(found.others) > 1 else ""
        return found.free < needed, lead, f"{counted(needed)} needed beside {title}{more}"
    return found.free < needed, lead, f"{counted(needed)} needed" if found.free < needed else ""


def counted(people: int) -> str:
    """People in words: ``two people``, ``one person``, ``14 people``."""
    number = NUMBERS[people] if people < len(NUMBERS) else str(people)
    return f"{number} {'person' if people == 1 else 'people'}"
