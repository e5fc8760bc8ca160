"""Work that is done in every studio in turn, such as each night."""

from __future__ import annotations

import logging
from collections.abc import Callable

from studio import tenancy

log = logging.getLogger(__name__)


def in_every_studio(work: Callable[[], int]) -> int:
    """Do ``work`` in each studio, in a transaction of its own; the sum of what it returns.

    One studio's failure is reported in the log and keeps no other waiting; the next run tries again.
    """
    done = 0
    for studio_id, slug in tenancy.each_studio():
        try:
            with tenancy.entered(studio_id, slug=slug):
                done += work()
        except Exception:
            log.exception("%s failed in studio %s; the others go on.", work.__qualname__, studio_id)
    return done
