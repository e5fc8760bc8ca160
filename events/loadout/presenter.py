"""The load-out list and the return list as their pages show them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Final

from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from events.loadout import crew_links, hours, loadout_json, photos, returns, steps
from events.loadout.forms import shown_return
from events.loadout.line_states import LoadOutList
from events.models import Stage, Step
from events.progress import event_pictures
from studio.models import dates
from studio.people.page_request import PageTenant
from studio.tenancy.rights import Right

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

STEP_WORDS: Final[Mapping[Step, tuple[StrOrPromise, StrOrPromise, StrOrPromise, Stage]]] = {
    Step.PREPARED: (_("Van is loaded"), _("Is the van loaded?"), _("Yes, the van is loaded"), Stage.AGREED),
    Step.INSTALLED: (
        _("Installed"),
        _("Is everything installed?"),
        _("Yes, it is installed"),
        Stage.PREPARED,
    ),
    Step.STRUCK: (_("Struck"), _("Is everything struck?"), _("Yes, it is struck"), Stage.INSTALLED),
}
"""Of each step: its button, the question, the answer that marks it, and the stage at which it comes next."""


@dataclass(frozen=True, slots=True)
class StepButton:
    """The button of a step, with what its question says on a day that isn't planned."""

    step: Step
    label: str
    question: str
    yes: str
    when: Stage
    is_next: bool
    other_day: str
    first_day: date
    last_day: date


def load_out_context(the_list: LoadOutList, tenant: PageTenant) -> dict[str, object]:
    """Everything that the load-out page shows to the person who looks at it."""
    event = the_list.event
    return {
        "list": the_list,
        "event": event,
        "papers": crew_links.find_crew_links(event),
        "picture": event_pictures.find_pictures([event.pk]).get(event.pk),
        "list_json": loadout_json.write_list(the_list),
        "may_tick": tenant.can(Right.TICK_LOAD_OUT) and not event.is_off,
        "tasks": hours.task_hours(the_list),
        "photos": photos.list_photos(event.pk),
        "steps": [(step, _step_words(the_list, step)) for step in Step],
        "step_buttons": [_step_button(the_list, step) for step in steps.ON_SITE],
        "undo": _undoable(the_list),
    }


def return_list_context(
    the_list: LoadOutList, tenant: PageTenant, *, posted: Mapping[str, str], faults: Sequence[str] = ()
) -> dict[str, object]:
    """Everything that the return list shows, with the numbers that were just typed."""
    event = the_list.event
    rows = returns.list_returns(the_list)
    return {
        "list": the_list,
        "event": event,
        "list_json": loadout_json.write_list(the_list),
        "rows": [(row.state, row.comes_back, shown_return(posted, row.state)) for row in rows],
        "counted": sum(state.is_accounted_for for state in the_list.states),
        "is_closed": event.stage == Stage.COUNTED_BACK,
        "is_out": event.stage in (Stage.PREPARED, Stage.INSTALLED),
        "may_count": tenant.can(Right.TICK_LOAD_OUT) and event.is_agreed,
        "tasks": hours.task_hours(the_list),
        "faults": faults,
    }


def step_context(the_list: LoadOutList, step: Step) -> dict[str, object]:
    """The page that asks whether a step is to be marked."""
    return {
        "event": the_list.event,
        "button": _step_button(the_list, step),
        "doubts": steps.doubts(the_list, step, timezone.now()),
    }


# --- Private ---


def _step_button(the_list: LoadOutList, step: Step) -> StepButton:
    label, question, yes, when = STEP_WORDS[step]
    first, last = steps.days_of(the_list.event, step)
    is_next = the_list.event.stage == when and step not in the_list.steps
    return StepButton(
        step,
        str(label),
        str(question),
        str(yes),
        when,
        is_next,
        steps.planned_words(the_list.event, step),
        first,
        last,
    )


def _undoable(the_list: LoadOutList) -> Step | None:
    """The last step, where the acting person or phone may undo it."""
    last = steps.last_step(the_list.steps)
    if not last or the_list.event.stage == Stage.COUNTED_BACK or not steps.may_undo(the_list.steps[last]):
        return None
    return Step(last)


def _step_words(the_list: LoadOutList, step: Step) -> str:
    """When a step was taken on a phone and by whom, in words."""
    tick = the_list.steps.get(step)
    if tick is None:
        return ""
    by = f" {tick.by}" if tick.by else ""
    handed = ". " + gettext("Handed over to %(who)s.") % {"who": tick.text} if tick.text else ""
    at = dates.time_written(tick.made_at.astimezone(the_list.event.tz))
    return f"{at}{by}{handed}"
