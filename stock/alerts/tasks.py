"""Worker tasks of the alerts."""

from __future__ import annotations

import logging

from celery import shared_task
from django.utils import timezone

from stock.alerts import alerts
from studio import tenancy

log = logging.getLogger(__name__)


@shared_task(name="stock.look_over_shelves", ignore_result=True)
def look_over_shelves() -> int:
    """Raise and end alerts in every studio, and write the morning mails; how many alerts were raised."""
    return _check_each_studio(thoroughly=False)


@shared_task(name="stock.add_up_ledgers", ignore_result=True)
def add_up_ledgers() -> int:
    """Do the same once a night, and compare every balance with the sum of its movements."""
    return _check_each_studio(thoroughly=True)


def _check_each_studio(*, thoroughly: bool) -> int:
    raised = 0
    for studio_id, slug in tenancy.each_studio():
        try:
            with tenancy.entered(studio_id, slug=slug):
                raised += alerts.update_alerts(thoroughly=thoroughly)
                alerts.post_digests(timezone.now())
        except Exception:
            # One studio's failure must not keep the others waiting; the next run tries again.
            log.exception("The shelf of studio %s could not be checked.", studio_id)
    return raised
