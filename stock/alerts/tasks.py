"""Worker tasks of the alerts."""

from __future__ import annotations

from celery import shared_task
from django.utils import timezone

from stock.alerts import alerts
from studio.tenancy.every_studio import in_every_studio


@shared_task(name="stock.look_over_shelves", ignore_result=True)
def look_over_shelves() -> int:
    """Raise and end alerts in every studio, and write the morning mails; how many alerts were raised."""
    return _check_each_studio(thoroughly=False)


@shared_task(name="stock.add_up_ledgers", ignore_result=True)
def add_up_ledgers() -> int:
    """Do the same once a night, and compare every balance with the sum of its movements."""
    return _check_each_studio(thoroughly=True)


def _check_each_studio(*, thoroughly: bool) -> int:
    def check_shelf() -> int:
        raised = alerts.update_alerts(thoroughly=thoroughly)
        alerts.post_digests(timezone.now())
        return raised

    return in_every_studio(check_shelf)
