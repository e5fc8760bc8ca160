"""Work that must happen, even if the web, the broker or the worker dies in between.

:func:`write` puts an entry down in the caller's transaction and sends it when that commits. What was not sent, or
was lost on the way, :func:`studio.tasks.sweep_outbox` sends again. Tasks are therefore run at least once and must
be idempotent; they are wrapped by :func:`worker_task`, which skips what is done.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING, Final

from celery import current_app, shared_task
from django.db import transaction
from django.utils import timezone
from kombu.exceptions import KombuError
from redis.exceptions import RedisError

from studio import tenancy
from studio.models import OutboxEntry
from studio.tenancy import fair_share
from studio.tenancy.every_studio import in_every_studio
from studio.tenancy.fair_share import Share

if TYPE_CHECKING:
    from celery.app.task import Task

log = logging.getLogger(__name__)

GRACE: Final = timedelta(minutes=2)
"""How long an entry may be on its way before it is sent again."""
MOST_ATTEMPTS: Final = 6


def write(task: str, *, share: Share, key: str, amount: int = 1, **arguments: object) -> OutboxEntry:
    """Note the task for the entered studio; the same ``key`` again is the same entry.

    It counts as ``amount`` of ``share`` for whoever asks. Raises :class:`studio.tenancy.fair_share.TooMuch`.
    """
    if found := OutboxEntry.objects.filter(key=key).first():
        return found
    fair_share.ask(share, amount)
    entry, made = OutboxEntry.objects.get_or_create(
        key=key, defaults={"task": task, "arguments": arguments, "due_at": timezone.now() + GRACE}
    )
    if made:
        studio_id = tenancy.current_studio_id()
        transaction.on_commit(lambda: send(task, studio_id=studio_id, entry_id=entry.pk), robust=True)
    return entry


def send(task: str, *, studio_id: int, entry_id: int) -> None:
    """Hand the entry to the broker. A broker that is away is no error here: the sweep sends it later."""
    try:
        current_app.send_task(task, kwargs={"studio_id": studio_id, "entry_id": entry_id}, retry=False)
    except (KombuError, RedisError, OSError):
        log.warning("Broker away; outbox entry %s of studio %s waits for the sweep.", entry_id, studio_id)


def sweep() -> int:
    """Send again whatever is overdue, in every studio; returns how many entries were sent."""
    overdue: list[tuple[int, OutboxEntry]] = []

    def take() -> int:
        taken = _take_overdue()
        overdue.extend((tenancy.current_studio_id(), entry) for entry in taken)
        return len(taken)

    sent = in_every_studio(take)
    # Sent only now: what a worker is told of must be committed.
    for studio_id, entry in overdue:
        send(entry.task, studio_id=studio_id, entry_id=entry.pk)
    return sent


def worker_task(name: str) -> Callable[[Callable[..., None]], Task[..., None]]:
    """Make ``function(**arguments)`` a worker task that runs inside the entry's studio and marks it done.

    The work and the mark are one transaction. The entry's row is locked, so that a second delivery of the same
    entry steps aside; if the first one dies, the sweep sends the entry again. A failure is noted and tried again by
    the sweep, at growing distances.
    """

    def decorate(function: Callable[..., None]) -> Task[..., None]:
        @shared_task(name=name, ignore_result=True)
        def task(*, studio_id: int, entry_id: int) -> None:
            try:
                with tenancy.entered(studio_id):
                    entry = (
                        OutboxEntry.objects.select_for_update(skip_locked=True).filter(pk=entry_id).first()
                    )
                    if entry is None or entry.done_at:
                        return
                    function(**entry.arguments)
                    OutboxEntry.objects.filter(pk=entry_id).update(done_at=timezone.now(), error="")
            except Exception as failure:
                log.exception("Task %s failed (outbox entry %s of studio %s).", name, entry_id, studio_id)
                _note_failure(studio_id, entry_id, failure)

        return task

    return decorate


def _take_overdue() -> list[OutboxEntry]:
    """The entered studio's overdue entries, put off so that nobody else sends them meanwhile."""
    overdue = (
        OutboxEntry.objects.select_for_update(skip_locked=True)
        .filter(done_at=None, failed_at=None, due_at__lte=timezone.now())
        .order_by("due_at")[:100]
    )
    waiting = list(overdue)
    OutboxEntry.objects.filter(pk__in=[entry.pk for entry in waiting]).update(due_at=timezone.now() + GRACE)
    return waiting


def _note_failure(studio_id: int, entry_id: int, failure: Exception) -> None:
    with tenancy.entered(studio_id):
        entry = OutboxEntry.objects.select_for_update().filter(pk=entry_id, done_at=None).first()
        if entry is None:
            return
        entry.attempts += 1
        entry.error = f"{type(failure).__name__}: {failure}"[:2000]
        entry.due_at = timezone.now() + GRACE * 2**entry.attempts
        if entry.attempts >= MOST_ATTEMPTS:
            entry.failed_at = timezone.now()
        entry.save(update_fields=["attempts", "error", "due_at", "failed_at"])
