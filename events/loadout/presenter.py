"""The load-out list and the return list as their pages show them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from events.loadout import crew_links, hours, loadout_json, photos, returns
from events.loadout.forms import shown_return
from events.loadout.line_states import LoadOutList
from events.models import Stage, Step
from studio.models import dates
from studio.people.page_request import PageTenant
from studio.tenancy.rights import Right


def load_out_context(the_list: LoadOutList, tenant: PageTenant) -> dict[str, object]:
    """Everything that the load-out page shows to the person who looks at it."""
    event = the_list.event
    return {
        "list": the_list,
        "event": event,
        "papers": crew_links.find_crew_links(event),
        "list_json": loadout_json.write_list(the_list),
        "may_tick": tenant.can(Right.TICK_LOAD_OUT) and not event.is_off,
        "tasks": hours.task_hours(the_list),
        "photos": photos.list_photos(event.pk),
        "steps": [(step, _step_words(the_list, step)) for step in Step],
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


# --- Private ---


def _step_words(the_list: LoadOutList, step: Step) -> str:
    """When a step was taken on a phone and by whom, in words."""
    tick = the_list.steps.get(step)
    if tick is None:
        return ""
    by = f" {tick.by}" if tick.by else ""
    handed = f". Handed over to {tick.text}." if tick.text else ""
    at = dates.time_written(tick.made_at.astimezone(the_list.event.tz))
    return f"{at}{by}{handed}"
