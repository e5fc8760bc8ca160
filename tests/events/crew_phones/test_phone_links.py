"""An event given to a phone by a link: who may give it, how long it lasts, and whose ticks come from it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, connection, transaction
from django.http import Http404
from django.utils import timezone

from events.booking import event_times, log
from events.crew_phones import phone_links
from events.jobs import calling_off, changes
from events.loadout import load_list, returns, ticks
from events.models import Event, LoadOutLine, LogEntry, Stage, StageReached, Step, Tick, TickKind
from studio import tenancy
from studio.models import CrewPhone, LinkPurpose, PublicLink
from studio.people import audit_trail, public_links
from studio.people import crew_phones as kernel
from studio.people.public_links import FoundLink
from studio.tenancy.rights import Role
from tests.events.conftest import all_back, days_ahead, said, take
from tests.people import House


def found(given: phone_links.GivenPhone) -> FoundLink:
    link = public_links.find_even_ended(given.address.rsplit("/", 1)[1], LinkPurpose.CREW_CALL)
    assert link
    return link


def test_rosa_becomes_rosas_phone_and_the_link_lasts_a_day_past_the_return(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter("staff"):
        given = phone_links.give(agreed.pk, whose=" Rosa ")
        assert given.phone.name == "Rosa's phone"
        assert phone_links.give(agreed.pk, whose="Van phone").phone.name == "Van phone"
        assert given.phone.link.expires_at == agreed.back_at + timedelta(hours=24)
        assert (found(given).subject_id, found(given).is_open) == (agreed.pk, True)
        assert given.address.rsplit("/", 1)[1] not in str(PublicLink.objects.values_list())
        assert [phone.state for phone in phone_links.phones_of_event(agreed.pk)] == ["waiting", "waiting"]
        assert LogEntry.objects.filter(text="Given to a phone: Rosa's phone.").exists()


def test_crew_and_phones_give_ends_and_see_no_links(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter("staff"):
        phone = phone_links.give(agreed.pk, whose="Rosa").phone
    acts = (
        lambda: phone_links.give(agreed.pk, whose="Rosa"),
        lambda: phone_links.renew(agreed.pk, phone.pk),
        lambda: phone_links.end(agreed.pk, phone.pk),
        lambda: phone_links.phones_of_event(agreed.pk),
    )
    for act in acts:
        with (
            wickerlark.enter("crew"),
            pytest.raises(PermissionDenied, match="doesn't allow you to edit events"),
        ):
            act()


@pytest.mark.parametrize(
    ("whose", "why"),
    [
        ("  ", "Say whose phone it is: its ticks carry the name."),
        ("x" * 33, "That is 33 characters; at most 32 fit here."),
    ],
)
def test_a_phone_has_a_name_that_fits(wickerlark: House, agreed: Event, whose: str, why: str) -> None:
    with wickerlark.enter():
        with pytest.raises(ValidationError) as refusal:
            phone_links.give(agreed.pk, whose=whose)
        assert refusal.value.message_dict == {"whose": [why]}
        assert not CrewPhone.objects.exists()


def test_an_event_that_is_off_or_over_or_given_to_twenty_phones_is_given_to_no_more(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        phone = phone_links.give(agreed.pk, whose="Rosa").phone
        for number in range(phone_links.MOST_PHONES - 1):
            phone_links.give(agreed.pk, whose=f"Hand {number}")
        with pytest.raises(ValidationError, match="20 phones"):
            phone_links.give(agreed.pk, whose="One more")
        calling_off.call_off(agreed.pk)
        with pytest.raises(ValidationError, match="called off"):
            phone_links.renew(agreed.pk, phone.pk)
        over = take("Long ago", days=10)
        gone = timezone.now() - timedelta(days=3)
        Event.objects.filter(pk=over.pk).update(
            load_out_at=gone - timedelta(hours=6), access_from=gone - timedelta(hours=5), guests_from=None,
            ready_by=gone - timedelta(hours=4), strike_from=gone - timedelta(hours=3),
            out_by=gone - timedelta(hours=2), back_at=gone,
        )  # fmt: skip
        with pytest.raises(ValidationError, match="over"):
            phone_links.give(over.pk, whose="Rosa")


def test_a_phone_of_another_event_or_studio_is_not_found(
    wickerlark: House, federkorn: House, agreed: Event
) -> None:
    with wickerlark.enter():
        phone = phone_links.give(agreed.pk, whose="Rosa").phone
        other = take("Supper")
        for act in (phone_links.renew, phone_links.end):
            with pytest.raises(Http404):
                act(other.pk, phone.pk)
    with federkorn.enter():
        with pytest.raises(Http404):
            phone_links.end(agreed.pk, phone.pk)
        assert not CrewPhone.objects.exists()


def test_the_first_device_has_it_and_the_second_is_refused(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        given = phone_links.give(agreed.pk, whose="Rosa")
        _, device = kernel.take_up(found(given))
        with pytest.raises(kernel.TakenElsewhere, match="Another phone uses this link"):
            kernel.take_up(found(given))
        (listed,) = phone_links.phones_of_event(agreed.pk)
        assert listed.state == "in use"
        assert device not in listed.phone.device_hash
        with pytest.raises(IntegrityError, match="taken_by_a_device"), transaction.atomic():
            CrewPhone.objects.update(taken_at=None)


def test_a_new_link_keeps_the_phone_and_ends_the_link_before(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        before = phone_links.give(agreed.pk, whose="Rosa")
        kernel.take_up(found(before))
        after = phone_links.renew(agreed.pk, before.phone.pk)
        assert after.phone.pk == before.phone.pk
        assert (found(before).is_open, found(after).is_open) == (False, True)
        kernel.take_up(found(after))
        phone_links.end(agreed.pk, after.phone.pk)
        phone_links.end(agreed.pk, after.phone.pk)
        assert not found(after).is_open
        assert LogEntry.objects.filter(text="Link of Rosa's phone ended.").count() == 1
        assert [phone.state for phone in phone_links.phones_of_event(agreed.pk)] == ["ended"]


def test_the_link_ends_later_when_the_event_moves(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        given = phone_links.give(agreed.pk, whose="Rosa")
        moved = changes.move(
            agreed.pk, event_times.usual(ready_by=days_ahead(17)), seen_version=agreed.version
        )
        assert moved.back_at > agreed.back_at
        given.phone.link.refresh_from_db()
        assert given.phone.link.expires_at == moved.back_at + timedelta(hours=24)


def test_ticks_and_the_audit_trail_carry_the_phones_name(wickerlark: House, agreed: Event) -> None:
    with wickerlark.enter():
        given = phone_links.give(agreed.pk, whose="Rosa")
    with tenancy.entered(wickerlark.studio.pk, role=Role.CREW, phone_id=given.phone.pk):
        line = load_list.find_load_out_list(agreed.pk).states[0].line
        ticks.save_ticks(agreed.pk, [said(line, line.quantity)])
        Event.objects.filter(pk=agreed.pk).update(notes="by the phone")
    with wickerlark.enter():
        the_list = load_list.find_load_out_list(agreed.pk)
        assert the_list.loaders == (("Rosa's phone", 1),)
        tick = Tick.objects.get()
        assert (tick.person_id, tick.crew_phone_id) == (None, given.phone.pk)
        deed = next(deed for deed in audit_trail.recent_entries(limit=20) if deed.did == "changed")
        assert (deed.person, deed.role) == ("Rosa's phone", "crew")


def test_a_stage_that_a_phone_reaches_and_its_log_lines_name_the_phone(
    wickerlark: House, agreed: Event
) -> None:
    with wickerlark.enter():
        phone = phone_links.give(agreed.pk, whose="Rosa").phone
    with tenancy.entered(wickerlark.studio.pk, role=Role.CREW, phone_id=phone.pk):
        loaded = said(LoadOutLine(pk=0), 0, TickKind.STEP, task=Step.PREPARED)
        assert ticks.save_ticks(agreed.pk, [replace(loaded, line_id=None)]).refused == ()
        all_back(agreed)
        returns.count_back(agreed.pk)
    with wickerlark.enter():
        agreed_by = agreed.stages_reached.get(stage=Stage.AGREED)
        reached = agreed.stages_reached.filter(pk__gt=agreed_by.pk)
        assert (agreed_by.person, agreed_by.crew_phone) == (wickerlark.owner, None)
        assert [(row.stage, row.crew_phone, row.person) for row in reached] == [
            (Stage.PREPARED, phone, None),
            (Stage.INSTALLED, phone, None),
            (Stage.COUNTED_BACK, phone, None),
        ]
        assert [(entry.text.split(".")[0], entry.by) for entry in agreed.log.order_by("pk")][-2:] == [
            ("Prepared", "Rosa's phone"),
            ("Counted back", "Rosa's phone"),
        ]
        assert [entry.by for entry in agreed.log.filter(text__startswith="Agreed")] == [wickerlark.owner.name]
    page = wickerlark.client().get(wickerlark.url("events:event", agreed.pk)).content.decode()
    assert page.count("· Rosa&#x27;s phone</div>") == 2
    found_by = (
        wickerlark.client().get(wickerlark.url("events:search"), {"find": "counted back"}).content.decode()
    )
    assert "· Rosa&#x27;s phone</div>" in found_by


def test_what_the_studio_does_by_itself_names_nobody(wickerlark: House, agreed: Event) -> None:
    with tenancy.entered(wickerlark.studio.pk, role=Role.SYSTEM):
        assert log.record(agreed, "Swept.").by == ""


@pytest.mark.parametrize("model", [LogEntry, StageReached])
def test_nobody_is_a_person_and_a_phone_at_once(
    wickerlark: House, agreed: Event, model: type[LogEntry] | type[StageReached]
) -> None:
    with wickerlark.enter():
        phone = phone_links.give(agreed.pk, whose="Rosa").phone
        facts: dict[str, object] = {"kind": "done", "text": "Both."}
        if model is StageReached:
            facts = {"stage": Stage.PREPARED, "reached_at": timezone.now()}
        for row in ({"person": wickerlark.owner}, {"crew_phone": phone}, {}):
            model.objects.create(event=agreed, **facts, **row)
        with pytest.raises(IntegrityError, match="by_person_or_phone"), transaction.atomic():
            model.objects.create(event=agreed, person=wickerlark.owner, crew_phone=phone, **facts)


@pytest.mark.parametrize("model", [LogEntry, StageReached])
def test_another_studios_phone_is_named_nowhere(
    wickerlark: House, federkorn: House, agreed: Event, model: type[LogEntry] | type[StageReached]
) -> None:
    with wickerlark.enter():
        phone = phone_links.give(agreed.pk, whose="Rosa").phone
    facts: dict[str, object] = {"kind": "done", "text": "Foreign."}
    if model is StageReached:
        facts = {"stage": Stage.SKETCH, "reached_at": timezone.now()}
    with federkorn.enter():
        other = take("Supper")
        with pytest.raises(IntegrityError, match="crew_phone"), transaction.atomic():
            model.objects.create(event=other, crew_phone_id=phone.pk, **facts)
            with connection.cursor() as cursor:
                cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
