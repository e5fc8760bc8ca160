"""The stock room's worker tasks."""

from __future__ import annotations

import logging

from celery import shared_task
from django.utils import timezone

from stock.alerts import alerts
from stock.orders import order_document
from studio import tenancy
from studio.outbox import entries

log = logging.getLogger(__name__)


@shared_task(name="stock.look_over_shelves", ignore_result=True)
def look_over_shelves() -> int:
    """Raise and end alerts in every studio, and write the morning's letters; how many alerts were raised."""
    return _each_studio(thoroughly=False)


@shared_task(name="stock.add_up_ledgers", ignore_result=True)
def add_up_ledgers() -> int:
    """The same once a night, with the whole ledger added up against the shelf."""
    return _each_studio(thoroughly=True)


@entries.worker_task("stock.render_order")
def render_order(*, order_id: int) -> None:
    """Make the PDF of an order as it stands now."""
    order_document.make_paper(order_id)


def _each_studio(*, thoroughly: bool) -> int:
    raised = 0
    for studio_id, slug in tenancy.each_studio():
        try:
            with tenancy.entered(studio_id, slug=slug):
                raised += alerts.look(thoroughly=thoroughly)
                alerts.post_digests(timezone.now())
        except Exception:
            # One studio's trouble must not keep the others waiting; the next round tries again.
            log.exception("The shelf of studio %s could not be looked over.", studio_id)
    return raised
