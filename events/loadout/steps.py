"""Steps of the day, marked on phones: not by a slip of the finger, and undone by whoever marked them."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Final

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.booking import event_lock, stages
from events.loadout import tick_merge
from events.loadout.line_states import LoadOutList
from events.models import Event, Stage, Step, Tick, TickKind
from studio import tenancy
from studio.models import dates
from studio.tenancy.rights import Right, may

if TYPE_CHECKING:
    from django_stubs_ext import StrPromise

STEP_GAP: Final = timedelta(seconds=5)
"""Two different steps within so short a time are taps on one spot; the page waits as long."""
ON_SITE: Final = (Step.PREPARED, Step.INSTALLED, Step.STRUCK)
"""The steps in the order of the day; counting back has a list of its own."""
STAGE_OF: Final[Mapping[str, Stage]] = {
    Step.PREPARED: Stage.PREPARED,
    Step.INSTALLED: Stage.INSTALLED,
    Step.STRUCK: Stage.INSTALLED,
    Step.COUNTED_BACK: Stage.COUNTED_BACK,
}
"""The stage that an event has reached at least where a step is marked."""
PLANNED: Final[Mapping[str, StrPromise]] = {
    Step.PREPARED: gettext_lazy("Load-out is planned for %(day)s, not for today."),
    Step.INSTALLED: gettext_lazy("The installation is planned for %(day)s, not for today."),
    Step.STRUCK: gettext_lazy("The strike is planned for %(day)s, not for today."),
}


class CannotMark(ValidationError):
    """The step isn't marked, or isn't undone; nothing was changed."""


def mark(event_id: int, step: Step, *, at: datetime) -> None:
    """Move the event to the stage of a step on site; the page asked about :func:`doubts` before.

    A step that follows another one too fast is refused here as well: a page that a phone kept from before may not
    ask. Raises :class:`CannotMark` and :class:`~events.booking.stages.CannotReach`.
    """
    event = event_lock.lock_event(event_id)
    _refuse_slip(event, step, at)
    if step in Stage.values:
        stages.advance(event_id, Stage(step), at=at)


def undo(event_id: int, step: Step) -> None:
    """Move the event back to before a step. A step that isn't marked changes nothing.

    Raises :class:`CannotMark` for a step that somebody else marked, unless the office undoes it, and for one that
    others were marked after.
    """
    if step == Step.COUNTED_BACK:
        raise CannotMark(_("The count is in the stock ledger. Correct the stock at the office instead."))
    event = event_lock.lock_event(event_id)
    marked = marked_steps(event, event.ticks.select_related("person", "crew_phone"))
    if step not in marked:
        return
    if event.stage == Stage.COUNTED_BACK:
        raise CannotMark(_("This event is counted back: its steps stay."))
    if last_step(marked) != step:
        raise CannotMark(_("Undo “%(step)s” first.") % {"step": Step(last_step(marked)).label.capitalize()})
    if not may_undo(marked[step]):
        raise CannotMark(
            _("%(name)s marked this. Only they or the office can undo it.") % {"name": marked[step].by}
        )
    if event.stage == step:
        stages.reach(event_id, Stage.PREPARED if step == Step.INSTALLED else Stage.AGREED)


def marked_steps(event: Event, ticks: Iterable[Tick]) -> dict[str, Tick]:
    """The steps that are marked, each with its tick: not undone on a phone, nor by the office moving the stage back."""
    merged = tick_merge.merge_ticks(tick for tick in ticks if tick.kind in tick_merge.STEP_KINDS)
    order = list(Stage)
    reached = order.index(Stage(event.stage))
    return {
        step: found.tick
        for (*_rest, step), found in merged.items()
        if found.tick.kind == TickKind.STEP and order.index(STAGE_OF[step]) <= reached
    }


def last_step(marked: Container[str]) -> str:
    """The last of the steps on site that are marked."""
    return next((step for step in reversed(ON_SITE) if step in marked), "")


def may_undo(tick: Tick) -> bool:
    """Whether the acting person or phone may undo a step: whoever marked it, and the office."""
    who = tenancy.current()
    if may(who.role, Right.EDIT_EVENTS):
        return True
    return (tick.person_id, tick.crew_phone_id) == (who.person_id, who.phone_id)


def doubts(the_list: LoadOutList, step: Step, at: datetime) -> list[str]:
    """What speaks against marking a step now, in sentences."""
    found = [doubt] if (doubt := day_doubt(the_list.event, step, at)) else []
    left = the_list.total - the_list.in_count
    if step == Step.PREPARED and left:
        found.append(
            _("1 line isn’t ticked.") if left == 1 else _("%(count)s lines aren’t ticked.") % {"count": left}
        )
    return found


def day_doubt(event: Event, step: Step, at: datetime) -> str:
    """A sentence where a step is marked on another day than planned."""
    first, last = days_of(event, step)
    return "" if first <= at.astimezone(event.tz).date() <= last else planned_words(event, step)


def planned_words(event: Event, step: Step) -> str:
    """When a step is planned, for whoever marks it on another day."""
    return str(PLANNED[step]) % {"day": dates.day_written(days_of(event, step)[0])}


def days_of(event: Event, step: str) -> tuple[date, date]:
    """The first and the last day on which a step is planned, by the clocks at the venue."""
    start, end = {
        Step.PREPARED: (event.load_out_at, event.ready_by),
        Step.INSTALLED: (event.access_from, event.strike_from),
        Step.STRUCK: (event.strike_from, event.back_at),
    }[Step(step)]
    return start.astimezone(event.tz).date(), end.astimezone(event.tz).date()


# --- Private ---


def _refuse_slip(event: Event, step: Step, at: datetime) -> None:
    near = event.ticks.filter(
        kind=TickKind.STEP, task__in=ON_SITE, made_at__gt=at - STEP_GAP, made_at__lt=at + STEP_GAP
    ).exclude(task=step)
    other = near.first()
    if other:
        label = Step(other.task).label.capitalize()
        raise CannotMark(
            _("“%(other)s” was marked a moment earlier. If this is right, mark “%(step)s” again.")
            % {"other": label, "step": step.label.capitalize()}
        )
