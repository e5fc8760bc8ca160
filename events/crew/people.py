"""Crew: skills and working hours, days off, and vans."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404
from django.utils import timezone

from events.models import CrewMember, DayOff, Van
from studio import tenancy
from studio.models import Membership
from studio.tenancy.access import require
from studio.tenancy.rights import Right, may


@dataclass(frozen=True, slots=True)
class CrewPerson:
    """A member of the studio, and their crew row; one without a primary key where none is saved yet."""

    membership: Membership
    member: CrewMember

    @property
    def name(self) -> str:
        """The person's name."""
        return self.membership.person.name


def list_people() -> list[CrewPerson]:
    """Everybody in the studio, by name. Two queries."""
    known = {member.person_id: member for member in CrewMember.objects.all()}
    rows = Membership.objects.select_related("person").order_by("person__name", "pk")
    return [_crew_person(row, known.get(row.person_id)) for row in rows]


def people_and_vans() -> tuple[list[CrewPerson], list[Van]]:
    """Everybody in the studio by name, and the vans in use. Three queries."""
    return list_people(), list(Van.objects.filter(is_in_use=True))


def find_person(membership_id: int) -> CrewPerson:
    """One person of the studio. Raises ``Http404``."""
    row = Membership.objects.select_related("person").filter(pk=membership_id).first()
    if row is None:
        raise Http404
    return _crew_person(row, CrewMember.objects.filter(person=row.person_id).first())


def saved_member(who: CrewPerson) -> CrewMember:
    """The person's crew row, saved if there was none."""
    if not who.member.pk:
        member, _ = CrewMember.objects.get_or_create(
            person=who.membership.person, defaults={"is_called": who.member.is_called}
        )
        return member
    return who.member


def change_person(who: CrewPerson, **facts: object) -> CrewMember:
    """Set columns: skills, hours and whether they are called; pay only by whoever may see costs.

    Raises ``ValidationError``, naming the fields; ``PermissionDenied``.
    """
    require(Right.EDIT_EVENTS)
    if "pay_an_hour" in facts and not may(tenancy.current().role, Right.SEE_COSTS):
        raise PermissionDenied("Only an owner sees or changes pay.")
    member = saved_member(who)
    for field, value in facts.items():
        setattr(member, field, value)
    if bool(member.from_time) != bool(member.to_time):
        missing = "to_time" if member.from_time else "from_time"
        raise ValidationError({missing: "Write both hours, or neither."})
    if member.from_time and member.to_time and member.from_time >= member.to_time:
        raise ValidationError({"to_time": "This must come after “works from”."})
    member.full_clean()
    member.save()
    return member


def is_self(who: CrewPerson) -> bool:
    """Whether the acting person is that member."""
    return who.membership.person_id == tenancy.current().person_id


def take_days_off(who: CrewPerson, *, first_day: date, last_day: date, why: str = "") -> DayOff:
    """Add days on which somebody can't be called, by the office or the person.

    Raises ``ValidationError``, naming the fields; ``PermissionDenied``.
    """
    if not is_self(who):
        require(Right.EDIT_EVENTS)
    if last_day < first_day:
        raise ValidationError({"last_day": "The last day can't come before the first."})
    if (last_day - first_day).days > 366:
        raise ValidationError({"last_day": "That is more than a year; look at the days again."})
    if last_day < timezone.now().date():
        raise ValidationError({"last_day": "Those days are past."})
    return DayOff.objects.create(
        member=saved_member(who), first_day=first_day, last_day=last_day, why=why.strip()
    )


def remove_days_off(day_off_id: int) -> CrewMember:
    """Remove days off. Raises ``Http404``, ``PermissionDenied``."""
    row = DayOff.objects.select_related("member").filter(pk=day_off_id).first()
    if row is None:
        raise Http404
    if row.member.person_id != tenancy.current().person_id:
        require(Right.EDIT_EVENTS)
    row.delete()
    return row.member


def save_van(van: Van, **facts: object) -> Van:
    """Add a van or correct it. Raises ``ValidationError``, naming the fields."""
    require(Right.EDIT_EVENTS)
    for field, value in facts.items():
        setattr(van, field, value.strip() if isinstance(value, str) else value)
    if Van.objects.filter(name__iexact=van.name).exclude(pk=van.pk).exists():
        raise ValidationError({"name": "Another van has this name already."})
    van.full_clean()
    van.save()
    return van


# --- Private ---


def _crew_person(row: Membership, known: CrewMember | None) -> CrewPerson:
    return CrewPerson(row, known or CrewMember(person=row.person, is_called=row.role != "owner"))
