"""Long work that somebody waits for: the worker does it, a page asks how far it is, and whoever asked may stop it.

A person has one of each kind at a time: asking again stops the one before. A studio has a few at a time, waiting ones
included, so that a queue never holds much of one studio in front of another. What was asked and what came of it stay in
the cache for a while, by studio and an unguessable name.
"""

from __future__ import annotations

import logging
import secrets
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final, Generic, TypeVar

from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from redis.exceptions import RedisError

from studio import tenancy
from studio.outbox import entries
from studio.tenancy import fair_share
from studio.tenancy.fair_share import Share
from studio.tenancy.rights import Role

log = logging.getLogger(__name__)

Asked = TypeVar("Asked")
Result = TypeVar("Result")
Progress = Callable[[float], None]
"""Says which share of the work is done, 0 to 1; raises :class:`Stopped` where nobody wants the rest."""

PATIENCE: Final = timedelta(minutes=4)
"""Work that was asked for longer ago gets no result: the worker died with it."""
KEPT_SECONDS: Final = 3600
FAILED: Final = "This could not be worked out: a fault of this server, which was logged. Nothing was changed."
STOPPED, DONE = "stopped", "done"
"""How work ended: whichever is said first holds."""
ALMOST: Final = 97
"""Per cent shown at most while the result isn't there."""


class Stopped(Exception):
    """Whoever asked for the work has stopped it."""


class Away(ValidationError):
    """Nothing can be asked of the worker now."""

    def __init__(self) -> None:
        super().__init__("This can’t be worked out right now. Nothing was changed. Try again in a minute.")


@dataclass(frozen=True, slots=True)
class Work(Generic[Asked, Result]):
    """One piece of work: what was asked by whom, how far it is, and its result or why there is none."""

    name: str
    asked: Asked
    at: datetime
    seconds: float
    """How long it usually takes."""
    person_id: int | None
    role: Role
    turn: tuple[str, ...] = ()
    done: float = 0.0
    is_stopped: bool = False
    result: Result | None = None
    refusal: str = ""

    @property
    def is_waiting(self) -> bool:
        """Whether the worker may still answer."""
        return self._is_open and not self.is_lost

    @property
    def is_lost(self) -> bool:
        """Whether no result will come, though nobody stopped it."""
        return self._is_open and timezone.now() - self.at > PATIENCE

    @property
    def percent(self) -> int:
        """The share that is done, or else the share of its usual time that has gone; below 100 until it is there."""
        gone = (timezone.now() - self.at) / timedelta(seconds=self.seconds)
        return min(ALMOST, round(100 * (self.done or gone)))

    @property
    def _is_open(self) -> bool:
        return self.result is None and not self.refusal and not self.is_stopped


@dataclass(frozen=True)
class LongWork(Generic[Asked, Result]):
    """One kind of long work. ``task`` is the worker's task; ``shape`` is counted up when the kept records change."""

    task: str
    share: Share
    seconds: float
    shape: int = 1
    kept_seconds: int = KEPT_SECONDS

    def ask(self, asked: Asked, *, seconds: float | None = None, amount: int = 1) -> str:
        """Have the worker do it; the name by which to find it. It counts as ``amount`` of the share.

        Raises ``TooMuch`` and :class:`Away`; nothing is asked, and the one before goes on then.
        """
        name, tenant = secrets.token_urlsafe(16), tenancy.current()
        usual = self.seconds if seconds is None else seconds
        try:
            with transaction.atomic():
                entries.write(
                    self.task, share=self.share, amount=amount, key=f"{self.task}-{name}", name=name
                )
                turn = self._take_place()
                work: Work[Asked, Result] = Work(
                    name, asked, timezone.now(), usual, tenant.person_id, tenant.role, turn
                )
                cache.set(self._key(name), work, self.kept_seconds)
                cache.set(self._last_key(), name, self.kept_seconds)
        except (RedisError, OSError):
            log.exception("Redis away: %s can't be asked for.", self.task)
            raise Away from None
        return name

    def find(self, name: str) -> Work[Asked, Result] | None:
        """Work of this studio; None where there is none, or it is old."""
        record, done, end = self._key(name), self._key(name, "share"), self._key(name, "end")
        try:
            found = cache.get_many([record, done, end])
        except (RedisError, OSError):
            return None
        work: Work[Asked, Result] | None = found.get(record)
        if work is None or work.result is not None or work.refusal:
            return work
        return replace(work, done=found.get(done, 0.0), is_stopped=found.get(end) == STOPPED)

    def last(self) -> Work[Asked, Result] | None:
        """The last that whoever is signed in asked for."""
        name = cache.get(self._last_key())
        return self.find(name) if name else None

    def stop(self, name: str) -> None:
        """Nobody wants it any more: the worker leaves off, and others have its place at once.

        Work that has ended by then stays as it is, though its result may not be there yet.
        """
        work = self.find(name)
        if work is not None and work.is_waiting and self._is_first_to_end(name, STOPPED):
            fair_share.leave_place(work.turn)

    def work_out(self, name: str, worked_out: Callable[[Asked, Progress], Result]) -> None:
        """Do it, in the name of whoever asked. The worker calls this; what can't be done is refused in words.

        The result is there once the transaction holds, so that no page speaks of what was not written.
        """
        work = self.find(name)
        if work is None or not work.is_waiting:
            return
        try:
            with tenancy.entered(tenancy.current_studio_id(), role=work.role, person_id=work.person_id):
                result = worked_out(work.asked, lambda share: self._progress(name, share))
                self._end(work)
        except Stopped:
            return
        except ValidationError as refusal:
            self._refuse(work, " ".join(refusal.messages))
        except Exception:
            log.exception("%s %s of studio %s failed.", self.task, name, tenancy.current_studio_id())
            self._refuse(work, FAILED)
        else:
            self._keep(replace(work, result=result))

    # --- Private ---

    def _take_place(self) -> tuple[str, ...]:
        """A place for the next, of whoever asks: the one before makes room."""
        if before := self.last():
            self.stop(before.name)
        return fair_share.take_place(self.share)

    def _progress(self, name: str, share: float) -> None:
        cache.set(self._key(name, "share"), share, self.kept_seconds)
        if cache.get(self._key(name, "end")) == STOPPED:
            raise Stopped

    def _end(self, work: Work[Asked, Result]) -> None:
        """From here on it can't be stopped. Raises :class:`Stopped` where it was, a moment before; a worker that died
        since it came so far may come here again."""
        if self._is_first_to_end(work.name, DONE):
            fair_share.leave_place(work.turn)
        elif cache.get(self._key(work.name, "end")) == STOPPED:
            raise Stopped

    def _is_first_to_end(self, name: str, how: str) -> bool:
        return bool(cache.add(self._key(name, "end"), how, self.kept_seconds))

    def _refuse(self, work: Work[Asked, Result], words: str) -> None:
        with suppress(Stopped):
            self._end(work)
            self._keep(replace(work, refusal=words))

    def _keep(self, work: Work[Asked, Result]) -> None:
        # The studio is left by then, so the key is made now.
        key = self._key(work.name)
        transaction.on_commit(lambda: cache.set(key, work, self.kept_seconds), robust=True)

    def _key(self, name: str, part: str = "") -> str:
        return f"{self.task}.{self.shape}:{tenancy.current_studio_id()}:{name}:{part}"

    def _last_key(self) -> str:
        return f"{self.task}.{self.shape}:last:{tenancy.current_studio_id()}:{tenancy.current().person_id}"
