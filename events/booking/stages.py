"""Event stages: allowed transitions, and who may make them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from events.booking import event_lock, log
from events.models import Event, Stage, StageReached
from studio import tenancy
from studio.tenancy.access import require
from studio.tenancy.rights import Right, may

MOVES: Final[Mapping[Stage, tuple[Stage, ...]]] = {
    Stage.ENQUIRY: (Stage.SKETCH, Stage.OFFERED),
    Stage.SKETCH: (Stage.OFFERED, Stage.ENQUIRY),
    Stage.OFFERED: (Stage.OFFERED, Stage.SKETCH),
    Stage.AGREED: (Stage.PREPARED,),
    Stage.PREPARED: (Stage.INSTALLED, Stage.AGREED),
    Stage.INSTALLED: (Stage.PREPARED,),
    Stage.COUNTED_BACK: (),
}
"""The stages that may follow each stage. From offered to agreed leads only
:func:`events.jobs.commitment.commit`, since it holds the stock; back from agreed leads only calling off. To counted
back leads only :func:`events.loadout.returns.count_back`, since it writes the ledger; nothing leads back from there."""

RIGHTS: Final[Mapping[Stage, Right]] = {
    Stage.ENQUIRY: Right.EDIT_EVENTS,
    Stage.SKETCH: Right.EDIT_EVENTS,
    Stage.OFFERED: Right.OFFER,
    Stage.AGREED: Right.TICK_LOAD_OUT,
    Stage.PREPARED: Right.TICK_LOAD_OUT,
    Stage.INSTALLED: Right.TICK_LOAD_OUT,
    Stage.COUNTED_BACK: Right.TICK_LOAD_OUT,
}
ON_SITE: Final = (Stage.AGREED, Stage.PREPARED, Stage.INSTALLED)
"""The stages that crew go through on the day."""

VERBS: Final[Mapping[Stage, str]] = {
    Stage.PREPARED: "Van is loaded",
    Stage.INSTALLED: "Installed",
}
"""The text of the button that leads to a stage."""


HAS_LEFT: Final = (Stage.PREPARED, Stage.INSTALLED, Stage.COUNTED_BACK)
"""The stages of an event whose items have left the studio."""


class CannotReach(ValidationError):
    """This stage can't follow the present one."""


def reach(event_id: int, stage: Stage, *, at: datetime | None = None) -> Event:
    """Move the event to ``stage``, as of ``at``, or now. Its present stage changes nothing, except for an offer
    that is sent again.

    Raises :class:`CannotReach`, ``PermissionDenied``, ``Http404``.
    """
    require(RIGHTS[stage])
    with transaction.atomic():
        event = event_lock.lock_event(event_id)
        present = Stage(event.stage)
        if stage == present and stage not in MOVES[present]:
            return event
        if event.is_off:
            raise CannotReach("This event was called off. Restore it first.")
        if stage not in MOVES[present]:
            raise CannotReach(f"An event can't go from {present.label} to {stage.label}.")
        who = tenancy.current()
        back = stage != present and list(Stage).index(stage) < list(Stage).index(present)
        if not back:
            StageReached.objects.create(
                event=event,
                stage=stage,
                reached_at=min(at or timezone.now(), timezone.now()),
                person_id=who.person_id,
                crew_phone_id=who.phone_id,
            )
        event.stage = stage
        event_lock.save_event(event, "stage")
        log.record(event, f"Back to {stage.label}." if back else f"{stage.label.capitalize()}.")
    return event


def advance(event_id: int, stage: Stage, *, at: datetime) -> Event:
    """Move the event forward to ``stage`` through the stages between; one that is as far already stays.

    Phones without signal send their steps late and in any order: *installed* implies that the van was loaded.
    Raises as :func:`reach` does.
    """
    require(RIGHTS[stage])
    with transaction.atomic():
        event = event_lock.lock_event(event_id)
        if event.stage not in ON_SITE or event.is_off:
            if _after(event, stage):
                raise CannotReach(f"An event can't go from {Stage(event.stage).label} to {stage.label}.")
            return event
        order = list(Stage)
        for between in order[order.index(Stage(event.stage)) + 1 : order.index(stage) + 1]:
            event = reach(event_id, between, at=at)
    return event


def next_by_hand(event: Event) -> Stage | None:
    """The next stage, if the acting person may move the event there."""
    if event.is_off:
        return None
    role = tenancy.current().role
    following = [stage for stage in MOVES[Stage(event.stage)] if stage in VERBS]
    return next((stage for stage in following if _after(event, stage) and may(role, RIGHTS[stage])), None)


def previous_by_hand(event: Event) -> Stage | None:
    """The stage before, if the last move can be undone."""
    if event.is_off or event.stage not in VERBS:
        return None
    return next((stage for stage in MOVES[Stage(event.stage)] if not _after(event, stage)), None)


def reached_at(event: Event) -> dict[str, datetime]:
    """When each stage up to the present one was last reached. One query."""
    order = list(Stage)
    until = order.index(Stage(event.stage))
    rows = event.stages_reached.order_by("pk").values_list("stage", "reached_at")
    return {stage: moment for stage, moment in rows if order.index(Stage(stage)) <= until}


def _after(event: Event, stage: Stage) -> bool:
    return list(Stage).index(stage) > list(Stage).index(Stage(event.stage))
