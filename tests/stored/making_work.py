"""Samples of what phones post and browsers hold, of the stock room's answers, and of the audit trail."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, Final

from django.apps import apps
from django.core import signing
from django.utils import timezone

from events.booking import enquiry, event_times, stages
from events.contacts import drives, venues
from events.crew import calls
from events.crew_phones import phone_links
from events.jobs import commitment
from events.jobs.commitment import BillLine, PlannedWork
from events.models import Event, Stage, Van
from events.planner import plan_requests, proposal
from events.planner.seal import SALT
from quoting.build_sheet import sheets
from quoting.invoices import reminding
from quoting.models import Invoice, Quote
from stock.catalogue import items
from stock.catalogue.items import Material
from stock.ledger import movements
from stock.models import Item, KeptAnswer, Kind, PurchaseOrder, Supplier
from stock.orders import order_document
from studio import tenancy
from studio.models import Membership, entered_studio
from studio.people import membership
from studio.tenancy.rights import Role
from tests.stored.documents import MOMENT, plain
from tests.stored.stock_calls import call

Samples = dict[str, Any]
MOMENTS: Final = ("load_out_at", "access_from", "ready_by", "strike_from", "out_by", "back_at")
STAFF, CREW = 2, 3
"""Who posts: numbers that the readers know."""
DRAWN_ANEW: Final = ("pgh_id", "pgh_created_at", "studio")
"""Columns of an audit trail that a new row has of its own."""


def samples() -> Samples:
    """Every sample of this module; call it inside a studio with the demo's season."""
    _have_the_rest_done()
    return {
        "phones/a-whole-day": _whole_day(),
        "phones/oldest-form": _oldest_form(),
        "stock-takes/kept-on-a-phone": _stock_take(),
        "plans/a-round": _round(),
        **{f"stock-answers/{name}": kept for name, kept in _StockAnswers().played().items()},
        "history/who-did-what": _history(),
        "requests/of-open-pages": _requests(),
    }


# Private


def _row(row: Any, *names: str) -> dict[str, Any]:
    """Some columns of a row."""
    found: dict[str, Any] = plain({name: getattr(row, name) for name in names})
    return found


def _event(event: Event) -> dict[str, Any]:
    return _row(event, "id", "title", "zone", "stage", "status", "version", *MOMENTS)


# --- Phones ---


class _Phone:
    """What one phone keeps to be sent, oldest first, as its script writes it down."""

    def __init__(self, event: Event, began: datetime) -> None:
        self.address = f"/s/wickerlark/events/{event.pk}/load-out/"
        self.moment = began
        self.entries: list[dict[str, Any]] = []

    def say(self, person: int, **op: Any) -> str:
        """One more thing; its name."""
        name, made_at = self._named()
        phone = {"phone": str(uuid.UUID(int=person))}
        self._keep(person, name, "ticks", op={**op, "uuid": name, "made_at": made_at, **phone})
        return name

    def photo(self, person: int) -> None:
        """A photo; the picture itself isn't in the sample."""
        name, made_at = self._named()
        self._keep(person, name, "photos", photo="(a picture)", made_at=made_at)

    def _named(self) -> tuple[str, str]:
        self.moment += timedelta(minutes=7, milliseconds=1)
        return str(uuid.uuid4()), f"{self.moment:%Y-%m-%dT%H:%M:%S}.{self.moment.microsecond // 1000:03d}Z"

    def _keep(self, person: int, name: str, where: str, **thing: Any) -> None:
        at = round(self.moment.timestamp() * 1000)
        self.entries.append(
            {"uuid": name, "at": at, "address": self.address + where, "person": person, **thing}
        )


def _list() -> tuple[Event, list[dict[str, Any]]]:
    """An agreed event, and a few lines of its list: a frame, a cover, latex, its spares, florals."""
    event = Event.objects.get(title="Rowing club supper")
    columns = (
        "id", "code", "spare_of", "label", "detail", "quantity", "place", "position", "shelf_place", "dropped",
    )  # fmt: skip
    lines = list(event.load_out.all())
    wanted = [line for line in lines if line.code.startswith(("frame", "cover", "greenery"))][:4]
    latex = next(line for line in lines if line.code.startswith("latex"))
    wanted += [latex, *(line for line in lines if line.spare_of == latex.code)]
    return event, [_row(line, *columns) for line in wanted]


def _whole_day() -> dict[str, Any]:
    """Loaded by two phones that don't agree at first, noted, photographed, handed over, counted back."""
    event, lines = _list()
    phone = _Phone(event, MOMENT - timedelta(days=2))
    first, second, *others = lines
    one = phone.say(CREW, line=first["id"], count=first["quantity"], after=[])
    other = phone.say(STAFF, line=first["id"], count=0, after=[])
    phone.say(CREW, line=second["id"], count=second["quantity"] + 2, after=[])
    phone.say(CREW, line=second["id"], count=second["quantity"] + 1, after=[])
    for line in others:
        phone.say(STAFF, line=line["id"], count=line["quantity"], after=[])
    phone.say(CREW, line=0, count=1, after=[])
    phone.say(CREW, kind="note", line=second["id"], text="Second shelf was empty, took it from the loft.")
    phone.say(STAFF, kind="note", text="Gate code is with the steward.")
    phone.say(CREW, kind="step", task="prepared")
    phone.photo(CREW)
    phone.say(CREW, kind="step", task="installed", text="Captain Olsen")
    phone.say(CREW, kind="hours", task="Inflate and size", count=95, hands=2)
    phone.say(CREW, kind="step", task="struck")
    phone.say(CREW, kind="step", task="counted_back")
    _count_back(phone, lines, [one, other])
    phone.say(STAFF, kind="step", task="counted_back")
    return {"event": _event(event), "lines": lines, "post": phone.entries}


def _count_back(phone: _Phone, lines: Sequence[dict[str, Any]], settled: list[str]) -> None:
    first, second, *others = lines
    gone = {"count": 0, "mend": 0, "broken": 0, "lost": 0, "used": 0}
    phone.say(CREW, line=first["id"], count=first["quantity"], after=settled)
    phone.say(
        CREW, kind="back", line=first["id"], **{**gone, "count": first["quantity"] - 1, "mend": 1}, after=[]
    )
    before = phone.say(CREW, kind="back", line=second["id"], **{**gone, "lost": 2}, after=[])
    phone.say(STAFF, kind="back", line=second["id"], **{**gone, "broken": 1, "lost": 1}, after=[])
    phone.say(
        CREW,
        kind="back",
        line=second["id"],
        **{**gone, "count": second["quantity"], "broken": 2},
        after=[before],
    )
    for line in others:
        used = line["quantity"] // 2
        phone.say(
            STAFF,
            kind="back",
            line=line["id"],
            **{**gone, "count": line["quantity"] - used, "used": used},
            after=[],
        )


def _oldest_form() -> dict[str, Any]:
    """Ticks with only what they must have."""
    event, lines = _list()
    phone = _Phone(event, MOMENT - timedelta(days=1))
    for count in (1, 0, lines[0]["quantity"]):
        phone.say(CREW, line=lines[0]["id"], count=count)
    for entry in phone.entries:
        del entry["op"]["phone"]
    return {"event": _event(event), "lines": lines[:1], "post": phone.entries}


def _stock_take() -> dict[str, Any]:
    """A count of one place that waits for the signal."""
    shelf = list(Item.objects.filter(kind="floral").order_by("pk")[:3])
    rows = [
        _row(item, "id", "code", "name", "kind", "nature") | {"place": "loft", "on_hand": 20}
        for item in shelf
    ]
    values = {f"count_{row['id']}": typed for row, typed in zip(rows, ("20", "17", ""), strict=True)}
    return {
        "address": "/s/wickerlark/shelf/stock-take/at:loft/",
        "draft": {"at": round(MOMENT.timestamp() * 1000), "values": {"key": "b7b0a1f2-kept", **values}},
        "reason": "found again",
        "items": rows,
    }


def _requests() -> dict[str, Any]:
    pulse = "/s/wickerlark/quotes/7/pulse"
    return {
        "event": 5,
        "quote": 7,
        "requests": [
            {"who": "crew", "address": "/phone/signed-in"},
            {"who": "", "address": "/phone/signed-in?phone=12"},
            {"who": "owner", "address": f"{pulse}?version=1"},
            {"who": "staff", "address": f"{pulse}?version=0"},
        ],
    }


# --- Plans ---


def _round() -> dict[str, Any]:
    """What is sealed into a proposal in which one van and crew go from one event to the next and back."""
    first_hall, then_hall = (
        venues.add_venue(name=name, drive_minutes=30) for name in ("Corn hall", "Boat house")
    )
    drives.set_drive(first_hall, then_hall, 15)
    noon = MOMENT.replace(hour=16) + timedelta(days=40)
    events = [
        _promised("Bakery birthday", noon, first_hall.pk),
        _promised("Rowing supper", noon + timedelta(hours=2), then_hall.pk),
    ]
    made = proposal.make_proposal(noon.date(), noon.date(), entered_studio(), seconds=4)
    content = signing.loads(made.sealed, salt=SALT)
    assert any(line["comes_from"] and "out_from" in line for line in content["lines"]), (
        "no round was proposed"
    )
    everybody = sorted({number for line in content["lines"] for number in line["people"]})
    numbers = dict(zip(everybody, (CREW, STAFF, 1), strict=False))
    for line in content["lines"]:
        line["people"] = [numbers[each] for each in line["people"]]
        line["driver"] = numbers.get(line["driver"])
    wanted = {line["van"] for line in content["lines"] if line["van"]}
    return {
        "events": [_event(event) for event in events],
        "work": [_row(row, "event_id", "task", "minutes") for event in events for row in event.work.all()],
        "vans": [_row(van, "id", "name", "seats") for van in Van.objects.filter(pk__in=wanted)],
        "content": content,
    }


def _promised(title: str, ready_by: datetime, venue_id: int) -> Event:
    event = enquiry.take_enquiry(
        title=title,
        event_windows=event_times.usual(ready_by=ready_by),
        client_name="Mrs Adeyo",
        venue_id=venue_id,
    )
    bill = [BillLine("clip-binder", "Binder clip", 2, "Garland", "frames")]
    work = [PlannedWork("prep", 60), PlannedWork("install", 45), PlannedWork("strike", 20)]
    commitment.commit(event.pk, bill=bill, work=work, key=f"by-hand-{event.pk}")
    event.refresh_from_db()
    return event


# --- The stock room's answers ---


class _StockAnswers:
    """Every request that is answered once, asked of the shelf as it is; the numbers of earlier answers in the later."""

    def __init__(self) -> None:
        self.kept: dict[str, dict[str, Any]] = {}
        self.start, self.end = ((MOMENT + timedelta(days=days)).isoformat() for days in (60, 61))

    def ask(self, name: str, request: str, **arguments: Any) -> dict[str, Any]:
        """Ask, and keep what the product kept of it."""
        call(request, arguments, f"sample-{name}")
        row = KeptAnswer.objects.get(key=f"sample-{name}")
        self.kept[name] = {
            "call": request, "arguments": arguments, "fingerprint": row.fingerprint, "answer": row.answer,
        }  # fmt: skip
        return dict(row.answer or {})

    def hold(self, name: str, needs: dict[str, int], **more: Any) -> int:
        """One more hold; its number."""
        found = self.ask(name, "hold", label=name, start=self.start, end=self.end, needs=needs, **more)
        return int(found["hold_id"])

    def played(self) -> dict[str, dict[str, Any]]:
        """Holds from first to last, pieces handed on, things counted, an order from writing to sending back."""
        self._stocked()
        self._holds()
        self._handed_on()
        self._counted()
        self._ordered()
        return self.kept

    def _stocked(self) -> None:
        """A shelf of its own, whatever the demo's is."""
        teal = items.add_colour(name="Sample teal", hex="#1F6F70", code="teal")
        made = [items.add_item(kind=Kind.LATEX, colour=teal, size_in=11, bag_size=100, bag_price=Decimal(14))]
        made += [
            items.add_item(kind=Kind.FRAME, code=code, name=code.replace("-", " ").capitalize())
            for code in ("frame-low", "frame-tall", "frame-handed-on")
        ]
        made.append(items.add_item(kind=Kind.HARDWARE, code="clip-steel", name="Steel clip"))
        movements.open_with(Material(item.code, 30) for item in made)

    def _holds(self) -> None:
        tall = Item.objects.get(code="frame-tall")
        until = (MOMENT + timedelta(days=5)).isoformat()
        short = {"latex-11-teal": 90000, "latex-11-never-seen": 3, "clip-steel": 2}
        hold = self.hold("hold-short-and-unknown", short, tentative_until=until)
        self.ask("confirm", "confirm", hold=hold)
        later = (MOMENT + timedelta(days=60, hours=3)).isoformat()
        self.ask(
            "change", "change", hold=hold, needs={"frame-low": 1, "clip-steel": 4}, start=later, end=self.end,
            firm=True,
        )  # fmt: skip
        self.ask("swap", "swap", hold=hold, out="frame-low", into="frame-tall")
        gone = {"used": {"clip-steel": 1}, "broken": {"clip-steel": 1}, "lost": {"clip-steel": 1}}
        mended = (MOMENT + timedelta(days=70)).isoformat()
        self.ask("count-back", "count back", hold=hold, **gone, mend={"frame-tall": 1}, mended_by=mended)
        self.ask("release", "release", hold=self.hold("hold-let-go", {"clip-steel": 1}))
        until = (MOMENT + timedelta(days=2)).isoformat()
        away = self.ask(
            "set-aside", "set aside", item=tall.pk, quantity=1, until=until, purpose="wash", why="wine on it"
        )
        self.ask("back-in-service", "back in service", hold=away["hold_id"])

    def _handed_on(self) -> None:
        giver = self.hold("hold-giver", {"frame-handed-on": 1})
        day = timedelta(days=1)
        self.start, self.end = (
            (datetime.fromisoformat(each) + day).isoformat() for each in (self.start, self.end)
        )
        at = (datetime.fromisoformat(self.start) - timedelta(hours=1)).isoformat()
        straight = [{"giver_id": giver, "code": "frame-handed-on", "quantity": 1, "at": at, "unwashed": True}]
        self.start = (datetime.fromisoformat(self.start) - timedelta(hours=2)).isoformat()
        taker = self.hold("hold-straight", {"frame-handed-on": 1}, straight=straight)
        self.ask(
            "hand-on",
            "hand on",
            giver=giver,
            taker=taker,
            code="frame-handed-on",
            quantity=1,
            at=at,
            unwashed=True,
        )
        self.ask("undo-handing-on", "undo handing on", handed=0)

    def _counted(self) -> None:
        clip = Item.objects.get(code="clip-steel")
        self.ask("receive", "receive", item=clip.pk, pieces=12, batch="T-1")
        self.ask("count", "count", item=clip.pk, counted=40, reason="found again")
        self.ask("stock-take", "stock-take", counted={str(clip.pk): 38}, reason="don’t know")
        self.kept["stock-take"]["items"] = [_row(clip, "id", "code", "name", "kind", "nature")]

    def _ordered(self) -> None:
        from stock.orders import orders

        supplier = Supplier.objects.order_by("pk")[0]
        teal = Item.objects.get(code="latex-11-teal")
        wanted = {"item_id": teal.pk, "bag_size": 100, "bags": 3, "price": "14.25", "their_code": "R-11"}
        made = self.ask("order", "order", supplier=supplier.pk, wanted=[wanted], note="ring first")
        order = PurchaseOrder.objects.get(pk=made["order"])
        self.kept["order"]["orders"] = [_row(order, "id", "number")]
        orders.send_order(order.pk)
        line = order.lines.get()
        self.ask(
            "receive-order", "receive order", order=order.pk, note="note 7",
            came={str(line.pk): {"pieces": 100, "batch": "T-2"}},
        )  # fmt: skip
        self.ask("send-back", "send back", line=line.pk, pieces=5, reason="another colour")


# --- The worker and the audit trail ---


def _have_the_rest_done() -> None:
    """Work that the demo doesn't order: papers, letters, a plan."""
    studio = entered_studio()
    order_document.request_pdf(PurchaseOrder.objects.order_by("pk")[0], studio)
    quote = Quote.objects.filter(state="agreed").order_by("pk")[0]
    swapped = sheets.swapped_items(quote)
    sheets.order_paper(quote, sheets.pieces(quote, studio.units, swapped), swapped, studio)
    reminding.remind(Invoice.objects.get(offer__quote__title="Boat christening", kind="balance").pk)
    calls.ask(Event.objects.get(title="Bakery opening").pk)
    day = (timezone.now() + timedelta(days=3)).date()
    plan_requests.request_plan(day, day, studio)
    owner = Membership.objects.get(role=Role.OWNER).person
    membership.invite(email="noor@example.test", role=Role.CREW, by=owner)


def _history() -> list[dict[str, Any]]:
    """A frame made and changed, a quote's price changed, a design kept."""
    ring = Item.objects.filter(outline__shape="ring").order_by("pk")[0]
    ring.outline, ring.unit_cost = {**(ring.outline or {}), "foot_depth_m": 0.5}, Decimal(95)
    ring.save()
    quote = Quote.objects.get(title="Centenary dinner")
    event = _prepared_by_a_phone("Bakery opening")
    return [
        *_entries("events.EventEvent", event.pk, event.title),
        *_entries("stock.ItemEvent", ring.pk, ring.name),
        *_entries("quoting.QuoteEvent", quote.pk, quote.title),
    ]


def _prepared_by_a_phone(title: str) -> Event:
    """An event of which a phone with a link said that its van is loaded."""
    event = Event.objects.get(title=title)
    phone = phone_links.give(event.pk, whose="Rosa").phone
    tenant = tenancy.current()
    with tenancy.entered(tenant.studio_id, slug=tenant.slug, role=Role.CREW, phone_id=phone.pk):
        stages.reach(event.pk, Stage.PREPARED)
    return event


def _entries(model: str, of: int, record: str) -> list[dict[str, Any]]:
    table = apps.get_model(model)
    rows = table.objects.filter(pgh_obj_id=of).order_by("pgh_id")
    found = []
    for row in (rows[0], rows[rows.count() - 1]):
        names = [field.attname for field in table._meta.concrete_fields if field.name not in DRAWN_ANEW]
        kept = _row(row, *names)
        kept["pgh_context"] |= {name: 1 for name in ("person", "phone") if kept["pgh_context"].get(name)}
        found.append({"model": model, "record": record, "row": kept})
    return found
