"""Alerts: raised once, over when it is over, told each morning to those who want to hear of it."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.core import mail as mailbox
from django.core.exceptions import PermissionDenied
from django.db import connection

from stock import tasks
from stock.alerts import alerts
from stock.catalogue import items
from stock.catalogue.items import Material
from stock.holds import holds
from stock.ledger import movements
from stock.models import Alert, AlertKind, Hold, Item
from studio import tenancy
from studio.models import OutboxEntry
from studio.tasks import send_mail
from tests.people import House
from tests.stock.conftest import INK_5, OAT_11, RING, Stocked


def look(stocked: Stocked, *, thoroughly: bool = False) -> int:
    with tenancy.entered(stocked.house.studio.pk):
        return alerts.update_alerts(thoroughly=thoroughly)


def open_now(stocked: Stocked) -> list[tuple[str, str]]:
    with stocked.house.enter():
        return [(alert.kind, alert.words) for alert in alerts.list_open_alerts(stocked.house.owner.pk)]


def short_of_ink(stocked: Stocked, quantity: int = 40, key: str = "k") -> int:
    with stocked.house.enter():
        return holds.hold(
            label="Fair", window=stocked.days(9, 10), needs=[Material(INK_5, quantity)], key=key
        ).hold_id


def test_a_shortage_is_raised_once_follows_its_number_and_ends(stocked: Stocked) -> None:
    hold_id = short_of_ink(stocked)
    assert look(stocked) == 1
    assert look(stocked) == 0
    with stocked.house.enter():
        movements.receive(stocked.item(INK_5).pk, 10, key="in")
    assert look(stocked) == 0
    ((kind, words),) = open_now(stocked)
    assert kind == AlertKind.SHORT
    assert "30 × Ink 5 in short" in words
    with stocked.house.enter():
        holds.release(hold_id, "r")
    look(stocked)
    assert open_now(stocked) == []
    short_of_ink(stocked, key="again")
    assert look(stocked) == 1, "what comes back later is a new alert"
    with stocked.house.enter():
        assert Alert.objects.count() == 2


def test_a_tentative_hold_about_to_lapse_and_a_job_not_counted_back_are_raised(stocked: Stocked) -> None:
    with stocked.house.enter():
        holds.hold(
            label="Supper",
            window=stocked.days(5, 6),
            needs=[Material(RING, 1)],
            key="p",
            tentative_until=stocked.now + timedelta(hours=20),
        )
        holds.hold(label="Ball", window=stocked.days(0.01, 0.5), needs=[Material(RING, 1)], key="b")
    assert look(stocked) == 1
    with time_machine.travel(stocked.now + timedelta(days=2), tick=False):
        look(stocked)
        found = open_now(stocked)
    assert [kind for kind, _ in found] == [AlertKind.OVERDUE]
    assert "Ball: back since" in found[0][1]


def test_what_runs_low_and_what_is_old_is_raised(stocked: Stocked) -> None:
    with stocked.house.enter():
        items.change_item(Item.objects.get(code=OAT_11), reorder_at=260)
        ink = Item.objects.get(code=INK_5)
        movements.receive(ink.pk, 70, key="in", at=stocked.now - timedelta(days=500))
    look(stocked)
    words = dict(open_now(stocked))
    assert words[AlertKind.REORDER] == "Oat 11 in: order 60 more."
    assert words[AlertKind.OLD].startswith("Ink 5 in: 70 past their best.")


def test_a_balance_written_past_the_ledger_and_a_torn_hold_are_found_at_night(stocked: Stocked) -> None:
    hold_id = short_of_ink(stocked)
    with stocked.house.enter():
        Hold.objects.filter(pk=hold_id).update(state="released")
        with connection.cursor() as cursor:
            cursor.execute("UPDATE stock_balance SET on_hand = on_hand + 5")
    look(stocked, thoroughly=True)
    words = [words for kind, words in open_now(stocked) if kind == AlertKind.STEP]
    assert any("latex-11-oat: the balance is 205, but the movements add up to 200." in each for each in words)
    assert any("Fair is over but still reserves items" in each for each in words)
    with stocked.house.enter():
        movements.rebuild_balances()
    look(stocked)
    assert len([1 for kind, _ in open_now(stocked) if kind == AlertKind.STEP]) == len(words), (
        "days don't end it"
    )
    look(stocked, thoroughly=True)
    assert [1 for kind, words in open_now(stocked) if "the balance is" in words] == []


# --- The morning's letter ---


def morning(stocked: Stocked, hour: int, minute: int = 0) -> datetime:
    tomorrow = (stocked.now.astimezone(stocked.house.studio.tz) + timedelta(days=1)).date()
    return datetime.combine(
        tomorrow, datetime.min.time(), tzinfo=ZoneInfo(stocked.house.studio.zone)
    ).replace(hour=hour, minute=minute)


def letters(stocked: Stocked, now: datetime) -> list[str]:
    """Whom the letters asked for so far go to."""
    with tenancy.entered(stocked.house.studio.pk):
        alerts.post_digests(now)
        rows = OutboxEntry.objects.filter(key__startswith="mail-shelf-morning").order_by("pk")
        return [row.arguments["to"] for row in rows]


def raise_one(stocked: Stocked) -> None:
    short_of_ink(stocked)
    with time_machine.travel(morning(stocked, 6), tick=False):
        look(stocked)


def test_owner_and_staff_get_one_letter_in_the_studios_morning_and_crew_none(stocked: Stocked) -> None:
    raise_one(stocked)
    assert letters(stocked, morning(stocked, 6, 59)) == []
    to = [stocked.house.owner.email, stocked.house.staff.email]
    assert letters(stocked, morning(stocked, 7, 1)) == to
    assert letters(stocked, morning(stocked, 12)) == to, "once"
    assert letters(stocked, morning(stocked, 7, 1) + timedelta(days=1)) == to, "nothing new, no letter"


def test_who_wants_no_mail_of_a_kind_gets_none_and_still_sees_it(stocked: Stocked) -> None:
    raise_one(stocked)
    quiet = dict.fromkeys(AlertKind, (True, False))
    with stocked.house.enter():
        alerts.save_choices(stocked.house.owner.pk, quiet)
    assert letters(stocked, morning(stocked, 8)) == [stocked.house.staff.email]
    assert len(open_now(stocked)) == 1
    with stocked.house.enter():
        alerts.save_choices(stocked.house.owner.pk, {AlertKind.SHORT: (False, True)})
    assert open_now(stocked) == []


def test_the_letter_says_what_and_where(stocked: Stocked) -> None:
    raise_one(stocked)
    letters(stocked, morning(stocked, 8))
    with tenancy.entered(stocked.house.studio.pk):
        entry = OutboxEntry.objects.filter(key__startswith="mail-shelf-morning").first()
    assert entry is not None
    json.dumps(entry.arguments)
    send_mail(studio_id=stocked.house.studio.pk, entry_id=entry.pk)
    (letter,) = mailbox.outbox
    assert letter.subject == "Wickerlark Decor: 1 stock alert"
    assert "40 × Ink 5 in short." in letter.body
    assert "/s/wickerlark/shelf/alerts/" in letter.body


def test_the_worker_looks_over_every_studio(stocked: Stocked, federkorn: House) -> None:
    short_of_ink(stocked)
    assert tasks.look_over_shelves() == 1
    assert tasks.add_up_ledgers() == 0
    with federkorn.enter():
        assert not Alert.objects.exists()


def test_crew_have_no_alerts_and_nobody_chooses_for_another(stocked: Stocked) -> None:
    with (
        stocked.house.enter("crew"),
        pytest.raises(PermissionDenied, match="doesn't allow you to edit the shelf"),
    ):
        alerts.list_open_alerts(stocked.house.crew.pk)
    with stocked.house.enter("staff"), pytest.raises(ValueError, match="themselves"):
        alerts.save_choices(stocked.house.owner.pk, {})
    assert stocked.house.client("crew").get(stocked.house.url("stock:alerts")).status_code == 403


def test_the_page_shows_what_is_open_and_keeps_a_choice(stocked: Stocked) -> None:
    raise_one(stocked)
    client, address = stocked.house.client("staff"), stocked.house.url("stock:alerts")
    assert "40 × Ink 5 in short." in client.get(address).content.decode()
    client.post(address, {"mail-short": "on"})
    page = client.get(address).content.decode()
    assert "Nothing needs attention." in page
    assert 'name="mail-short" checked' in page
    assert 'name="page-short" checked' not in page
