"""What today's code reads from what phones and pages send, what the worker is told, and what the other rooms keep."""

from __future__ import annotations

import io
import json
import tempfile
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any, Final

from django.apps import apps
from django.core import mail, signing
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db.models import F
from django.test import Client
from PIL import Image

from events.loadout import load_list, returns
from events.models import Event, LoadOutLine, Shift, Tick, Van, WorkRow
from events.planner.accepting import accept_proposal
from events.planner.seal import SALT
from quoting.models import Quote
from quoting.quotes import stock_view
from stock.catalogue import frame_outlines
from stock.models import HoldState, Item, KeptAnswer, Kind, Movement, Nature, PurchaseOrder, Supplier
from studio.celery import app
from studio.local.place import Place, secrets_of
from studio.models import Membership, OutboxEntry
from studio.people import audit_trail, crew_phones
from tests.people import House
from tests.stored.documents import MOMENT, plain
from tests.stored.scenes import an_event, items
from tests.stored.stock_calls import call
from tests.stored.words_since import in_words_of_then

STATUS_THEN: Final = {"tentative": "TENTATIVE", "agreed": "CONFIRMED"}
ROLES: Final = {1: "owner", 2: "staff", 3: "crew"}
"""Whoever stands under a number in a sample."""
TICK: Final = (
    "uuid", "kind", "line_id", "count", "mend", "broken", "lost", "used", "task", "text", "after", "phone",
    "made_at",
)  # fmt: skip


def phone(kept: dict[str, Any], house: House) -> Any:
    """What the server answers a phone that sends what it kept, and how the list stands by it."""
    event = an_event(**kept["event"])
    for line in kept["lines"]:
        LoadOutLine.objects.create(event=event, **line)
    answers = [_sent(house, entry) for entry in kept["post"]]
    address = kept["post"][0]["address"]
    the_list = load_list.find_load_out_list(event.pk)
    event.refresh_from_db()
    return {
        "answers": in_words_of_then(answers),
        "told": _told(house.client("crew").get(address).json()),
        "uncounted": [state.line.label for state in returns.find_uncounted(the_list.states)],
        "stage": event.stage,
        "ticks": list(Tick.objects.order_by("made_at", "uuid").values(*TICK, hands=F("people"))),
    }


def stock_take(kept: dict[str, Any], house: House) -> Any:
    """What is written of a count that a phone kept: sent, its differences looked at, sent again with a reason."""
    items(kept["items"])
    browser, values = house.client("staff"), kept["draft"]["values"]
    first = browser.post(kept["address"], values)
    reviewed = first.context["reviewed"]
    second = browser.post(kept["address"], {**values, "reviewed": reviewed, "reason": kept["reason"]})
    counted = Movement.objects.filter(kind="counted").order_by("item_id")
    return {
        "answers": [first.status_code, second.status_code],
        "reviewed": reviewed,
        "counted": list(counted.values_list("item__code", "quantity", "reason")),
        "key": list(KeptAnswer.objects.values_list("key", "answer")),
    }


def plan(kept: dict[str, Any], house: House) -> Any:
    """What is put down of a proposal that a browser holds, once all of it is accepted."""
    for event in kept["events"]:
        an_event(**event)
    for row in kept["work"]:
        WorkRow.objects.create(**row)
    for van in kept["vans"]:
        Van.objects.create(**van)
    numbers = {number: Membership.objects.get(person=house.person(role)).pk for number, role in ROLES.items()}
    lines = [
        {
            **line,
            "people": [numbers[each] for each in line["people"]],
            "driver": numbers.get(line["driver"]),
        }
        for line in kept["content"]["lines"]
    ]
    content = {**kept["content"], "studio": house.studio.pk, "lines": lines}
    sealed = signing.dumps(content, salt=SALT, compress=True)
    number = accept_proposal(sealed, [line["key"] for line in lines]).number
    shifts = Shift.objects.select_related("van", "comes_from").order_by("event_id", "starts_at")
    return {
        "accepted": number,
        "shifts": [_shift(shift) for shift in shifts],
        "out": list(Event.objects.order_by("pk").values_list("pk", "load_out_at", "back_at")),
    }


def outbox(kept: list[dict[str, Any]], house: House) -> Any:
    """What comes of each task. Its rows aren't here: most have read their arguments once they look for them."""
    app.loader.import_default_modules()
    mail.outbox.clear()
    due_at = MOMENT + timedelta(minutes=2)
    results = []
    for number, entry in enumerate(kept):
        written = OutboxEntry.objects.create(**entry, key=f"kept-{number}", due_at=due_at)
        app.tasks[entry["task"]](studio_id=house.studio.pk, entry_id=written.pk)
        written.refresh_from_db()
        results.append([entry["task"], written.error or "done"])
    return {
        "results": results,
        "mail": [[sent.subject, sent.to, sent.reply_to, in_words_of_then(sent.body)] for sent in mail.outbox],
    }


def stock_answer(kept: dict[str, Any], _: House) -> Any:
    """The answer that is given again to the same request under the same key."""
    items(kept.get("items", []))
    for order in kept.get("orders", ()):
        supplier = Supplier.objects.create(name="Harbour paper", lead_days=3)
        PurchaseOrder.objects.create(supplier=supplier, **order)
    KeptAnswer.objects.create(key="kept", fingerprint=kept["fingerprint"], answer=kept["answer"])
    given = plain(call(kept["call"], kept["arguments"], "kept"))
    if isinstance(given, dict) and given.get("state") == HoldState.TENTATIVE:
        given["state"] = "pencilled"  # its value then
    return {"given again": given}


def outline(kept: dict[str, Any], _: House) -> Any:
    """The frame as the take-off is told of it, and the outline as its form keeps it."""
    Item.objects.create(code="frame", name="Frame", kind=Kind.FRAME, nature=Nature.REUSABLE, outline=kept)
    return {"owned": stock_view.owned().frames, "checked": frame_outlines.validate_outline(kept)}


def history(kept: list[dict[str, Any]], house: House) -> Any:
    """The audit trail as it is told from these entries."""
    phone, _ = crew_phones.give(name="Rosa's phone", subject_id=1, expires_at=MOMENT + timedelta(days=1))
    for entry in kept:
        context = dict(entry["row"]["pgh_context"])
        context |= {"person": house.person(context["role"]).pk} if context["person"] else {}
        context |= {"phone": phone.pk} if "phone" in context else {}
        apps.get_model(entry["model"]).objects.create(
            **{**entry["row"], "pgh_context": context, "studio": house.studio}
        )
    records = {entry["record"] for entry in kept}
    told = [
        _in_words_of_then(entry)
        for entry in audit_trail.recent_entries(limit=1000)
        if entry.record in records
    ]
    return sorted(told, key=lambda deed: (deed.record, deed.did))


def _in_words_of_then(entry: audit_trail.AuditEntry) -> audit_trail.AuditEntry:
    """An entry as it was worded when the facts were read: "made" for "added", a status by its stored value."""
    changes = tuple(
        (name, STATUS_THEN.get(before, before), STATUS_THEN.get(after, after)) if name == "status"
        else (name, before, after)
        for name, before, after in entry.changes
    )  # fmt: skip
    return replace(entry, did="made" if entry.did == "added" else entry.did, changes=changes)


def asked(kept: dict[str, Any], house: House) -> Any:
    """What scripts of pages that are open or kept are answered; ``who`` asks, by role, or nobody."""
    event = an_event(id=kept["event"])
    Quote.objects.create(id=kept["quote"], event=event, title="Garland", changed_by=house.owner)
    return [_asked(house, each) for each in kept["requests"]]


def local_secrets(kept: dict[str, Any], _: House) -> Any:
    """The local launcher's own file."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "secrets.json").write_text(json.dumps(kept), encoding="utf-8")
        return secrets_of(Place(Path(folder), Path(folder), None))


# Private


def _sent(house: House, entry: dict[str, Any]) -> Any:
    """As the phone's script sends it."""
    browser = house.client(ROLES[entry["person"]])
    if "photo" in entry:
        picture = io.BytesIO()
        Image.new("RGB", (40, 30), "#9B2C2C").save(picture, "JPEG")
        upload = SimpleUploadedFile("photo.jpg", picture.getvalue(), "image/jpeg")
        facts = {
            "by": "script",
            "uuid": entry["uuid"],
            "made_at": entry["made_at"],
            "phone": "",
            "photo": upload,
        }
        answer = browser.post(entry["address"], facts)
        return [answer.status_code, answer.json()]
    answer = browser.post(entry["address"], {"ops": [entry["op"]]}, content_type="application/json")
    told = answer.json()
    return [answer.status_code, told["kept"], told["refused"], sorted(told)]


def _told(told: dict[str, Any]) -> Any:
    """How the list stands, without what is another each time."""
    return in_words_of_then({**told, "revision": len(told["revision"])})


def _shift(shift: Shift) -> Any:
    calls = shift.calls.order_by("member__person__name").values_list("member__person__name", "drives")
    before = shift.comes_from
    return plain({
        "event": shift.event_id, "kind": shift.kind, "from": shift.starts_at, "until": shift.ends_at,
        "van": shift.van and shift.van.name, "calls": list(calls),
        "comes from": before and [before.event_id, before.kind],
    })  # fmt: skip


def _asked(house: House, request: dict[str, Any]) -> Any:
    browser = house.client(request["who"]) if request["who"] else Client()
    told = browser.get(request["address"], follow=True).json()
    hidden = {"csrf": len(told["csrf"]), "person": type(told["person"]).__name__} if "csrf" in told else {}
    return in_words_of_then({**told, **hidden})
