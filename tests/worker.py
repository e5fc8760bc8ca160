"""The worker's part in a test of pages: it does what lies in the outbox, and its results are there when it commits."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from django.test import TestCase

from events.tasks import plan_days
from quoting.tasks import fit_budget, fit_room, fit_stock
from stock.catalogue.tasks import check_table, import_table
from studio import tenancy
from studio.models import OutboxEntry
from studio.tasks import print_paper
from tests.people import House

if TYPE_CHECKING:
    from celery.app.task import Task

LONG_WORK: Final = {
    task.name: task for task in (plan_days, fit_budget, fit_stock, fit_room, check_table, import_table)
}


def do_long_work(house: House) -> int:
    """Have the worker do all long work that was asked for; how much that was."""
    return _do(house, LONG_WORK)


def print_papers(house: House) -> int:
    """Have the worker print what pages wrote out; how many papers that were."""
    return _do(house, {print_paper.name: print_paper})


def do_tasks(house: House, *tasks: Task[..., None]) -> int:
    """Have the worker do what waits for these tasks; how much that was."""
    return _do(house, {task.name: task for task in tasks})


def _do(house: House, tasks: Mapping[str, Task[..., None]]) -> int:
    with tenancy.entered(house.studio.pk):
        waiting = list(OutboxEntry.objects.filter(task__in=tasks, done_at=None).order_by("pk"))
    for entry in waiting:
        with TestCase.captureOnCommitCallbacks(execute=True):
            tasks[entry.task](studio_id=house.studio.pk, entry_id=entry.pk)
    return len(waiting)
