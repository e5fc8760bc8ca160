"""Work of every studio: one studio's failure is reported and keeps no other waiting."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from quoting import tasks as quoting_tasks
from stock import tasks as stock_tasks
from studio import tasks as studio_tasks
from studio import tenancy
from studio.tenancy.every_studio import in_every_studio
from tests.people import House

NIGHTLY: list[tuple[Callable[[], int], str]] = [
    (quoting_tasks.remind_overdue, "quoting.invoices.reminding.remind_due"),
    (quoting_tasks.issue_instalments, "quoting.invoices.on_time.issue_due"),
    (quoting_tasks.lapse_offers, "quoting.offers.offering.lapse_due"),
    (stock_tasks.look_over_shelves, "stock.alerts.alerts.update_alerts"),
    (stock_tasks.add_up_ledgers, "stock.alerts.alerts.update_alerts"),
    (studio_tasks.sweep_outbox, "studio.outbox.entries._take_overdue"),
]


def test_the_others_go_on_and_the_failure_is_in_the_log(
    wickerlark: House, federkorn: House, caplog: pytest.LogCaptureFixture
) -> None:
    seen: list[int] = []

    def fail_in_the_first() -> int:
        seen.append(tenancy.current_studio_id())
        if len(seen) == 1:
            raise RuntimeError("out of order")
        return 1

    assert in_every_studio(fail_in_the_first) == 1
    assert sorted(seen) == sorted([wickerlark.studio.pk, federkorn.studio.pk])
    assert f"fail_in_the_first failed in studio {seen[0]}; the others go on." in caplog.text
    assert "out of order" in caplog.text


@pytest.mark.parametrize(("task", "work"), NIGHTLY, ids=[task.__name__ for task, _ in NIGHTLY])
def test_every_nightly_task_goes_on_after_a_failure(
    wickerlark: House,
    federkorn: House,
    task: Callable[[], object],
    work: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    seen: list[int] = []

    def fail(**_: object) -> int:
        seen.append(tenancy.current_studio_id())
        raise RuntimeError("out of order")

    fail.__qualname__ = "work"
    monkeypatch.setattr(work, fail)
    task()
    assert sorted(seen) == sorted([wickerlark.studio.pk, federkorn.studio.pk])
