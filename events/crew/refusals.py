"""Shifts that somebody said no to and nobody has filled yet: they wait for the studio, which is told by e-mail."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, Q
from django.utils import timezone

from events.booking.event_sections import Act, Row, Section
from events.crew.rules import studio_rules
from events.day_plan.work_plan import usual_people
from events.models import Answer, CrewCall, Event, Shift, ShiftKind, Status
from studio import tenancy
from studio.models import Membership, Studio, entered_studio
from studio.outbox import mail
from studio.tenancy import links
from studio.tenancy.rights import Right, may


@dataclass(frozen=True, slots=True)
class Refusal:
    """A shift with fewer people than usual, because some have said no."""

    shift: Shift
    names: tuple[str, ...]
    on: int
    needed: int

    @property
    def words(self) -> str:
        """What the studio reads about it."""
        return f"{' and '.join(self.names)} said no to {self.shift.get_kind_display()}"


def find_refusals() -> list[Refusal]:
    """Find the shifts ahead that wait for somebody else. Three queries, one where nobody has said no."""
    return _find(~Q(shift__event__status=Status.CANCELLED))


def find_event_refusals(event: Event) -> list[Refusal]:
    """The same, of one event; no query where it is called off."""
    return [] if event.is_off else _find(Q(shift__event=event))


def refusals_section(event: Event) -> list[Section]:
    """The part of an event's page that says who said no, for whoever can assign somebody else."""
    if not may(tenancy.current().role, Right.EDIT_EVENTS):
        return []
    address = links.to("events:event-crew", event.pk)
    rows = tuple(
        Row(refusal.words, address, f"{refusal.on} of {refusal.needed} assigned")
        for refusal in find_event_refusals(event)
    )
    return [Section("Waits for you", rows, (Act("Assign somebody else", address),))] if rows else []


def mail_refusal(call: CrewCall) -> None:
    """Tell the studio by e-mail that somebody has said no; once for each answer."""
    studio, event = entered_studio(), call.shift.event
    context = {
        "studio": studio.name,
        "name": call.member.person.name,
        "event": event.title,
        "work": call.shift.get_kind_display(),
        "address": links.absolute(links.to("events:event-crew", event.pk)),
    }
    for to in _owner_addresses(studio, except_person=call.member.person_id):
        key = f"crew-refusal-{call.pk}-{call.answered_at}-{to}"[:110]
        mail.post("crew_refusal", to=to, key=key, context=context, reply_to=call.member.person.email)


# --- Private ---


def _find(among: Q) -> list[Refusal]:
    noes = CrewCall.objects.filter(among, answer=Answer.NO, shift__ends_at__gt=timezone.now())
    refused: dict[int, list[str]] = {}
    for shift_id, name in noes.order_by("shift__starts_at", "pk").values_list(
        "shift_id", "member__person__name"
    ):
        refused.setdefault(shift_id, []).append(name)
    if not refused:
        return []
    shifts = _staffed_shifts(refused)
    usual = usual_people(studio_rules())
    found = []
    for shift_id, names in refused.items():
        shift, on = shifts[shift_id]
        found.append(Refusal(shift, tuple(names), on, usual[ShiftKind(shift.kind)]))
    return [refusal for refusal in found if refusal.on < refusal.needed]


def _staffed_shifts(shift_ids: Iterable[int]) -> dict[int, tuple[Shift, int]]:
    """Each shift with its event, and how many are on it and haven't said no."""
    on = Count("calls", filter=~Q(calls__answer=Answer.NO))
    found = Shift.objects.select_related("event").filter(pk__in=shift_ids).annotate(on=on)
    return {shift.pk: (shift, shift.on) for shift in found}


def _owner_addresses(studio: Studio, *, except_person: int) -> list[str]:
    """Where the studio reads its mail: its own address, else its owners'."""
    if studio.email:
        return [studio.email]
    owners = Membership.objects.filter(role="owner").exclude(person=except_person).order_by("pk")
    return list(owners.values_list("person__email", flat=True))
