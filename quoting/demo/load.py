"""Loads a scenario through the product's own functions, so that the demo can hold nothing the product couldn't."""

from __future__ import annotations

import csv
import tomllib
import uuid
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any, Final, TypeAlias

from allauth.account.models import EmailAddress
from django.contrib.auth.hashers import make_password
from django.utils import timezone

from events.booking import event_times, stages
from events.booking.enquiry import Wanted, take_enquiry
from events.contacts import drives, venues
from events.crew import assigning
from events.crew import people as crew
from events.jobs import calling_off
from events.loadout import load_list, photos, returns, ticks
from events.loadout.photos import TakenPhoto
from events.loadout.ticks import TickOp
from events.models import Event, ShiftKind, Stage, TickKind, Van, Venue
from quoting.demo import PASSWORD, money
from quoting.demo.clock import as_of
from quoting.demo.palette import alterations
from quoting.demo.snapshot import snapshot
from quoting.design_library import library
from quoting.models import Choice, Offer, Quote, SetPiece, SupplyKind
from quoting.offers import agreeing, offering
from quoting.offers.agreeing import PageShown, Visitor
from quoting.pricing.instalments import Instalment
from quoting.quotes import adjusting, sheet, sketch
from quoting.supplies import supplies
from stock.alerts import alerts
from stock.catalogue import frame_outlines, items
from stock.catalogue.items import Material
from stock.holds import availability
from stock.ledger import movements
from stock.models import Colour, Item, Kind, Supplier, SupplierPrice
from stock.orders import orders
from stock.suppliers import suppliers
from studio import tenancy
from studio.measures import lengths, times
from studio.models import Membership, OutboxEntry, Person, Studio, entered_studio
from studio.people import membership, taxes
from studio.tenancy.rights import Role

Written: TypeAlias = dict[str, Any]
"""A table of a scenario, as TOML gives it: the product's functions check what they are handed."""
SCENARIOS: Final = Path(__file__).parent
USUAL_DESIGN: Final = "Organic garland over two nested arches"
AGREED_COURSES: Final = ("agreed", "prepared", "installed", "counted back")
A_BALLOON: Final = Decimal("0.20")
"""What one balloon costs that the shelf has no price of."""
VARIED: Final = (1.0, 0.7, 1.2, 0.35, 0.9, 1.1, 0.55, 0.8, 0.25, 0.6)
"""Share of the usual number that is there of each colour in turn, so that the shelf looks lived in."""


@dataclass(frozen=True)
class SignIn:
    """Somebody who can sign in to the demo."""

    studio: str
    name: str
    role: str
    email: str


def scenarios() -> list[Written]:
    """Every scenario, as written: its own file, and its shelf's table beside it."""
    return [_read_scenario(path) for path in sorted(SCENARIOS.glob("*.toml"), reverse=True)]


def sign_ins() -> list[SignIn]:
    """Who can sign in, with :data:`PASSWORD`."""
    return [
        SignIn(scenario["studio"]["name"], who["name"], who["role"], who["email"])
        for scenario in scenarios()
        for who in scenario["studio"]["people"]
    ]


def load(scenario: Written) -> Studio:
    """Load one scenario: its studio, people, shelf, venues and season."""
    facts = dict(scenario["studio"])
    members, rates = facts.pop("people"), facts.pop("taxes")
    persons = [_person(who) for who in members]
    studio = membership.found_studio(owner=persons[0], **facts)
    with tenancy.entered(studio.pk, slug=studio.slug, role=Role.OWNER, person_id=persons[0].pk):
        for person, who in zip(persons[1:], members[1:], strict=True):
            Membership.objects.create(person=person, role=who["role"])
        for number, rate in enumerate(rates):
            taxes.add_tax(name=rate["name"], percent=Decimal(str(rate["percent"])), is_default=number == 0)
        _fill_shelf(scenario["shelf"])
        _add_suppliers(scenario["suppliers"])
        for venue in scenario["venues"]:
            _add_venue(venue, studio)
        for drive in scenario["drives"]:
            one, other = (Venue.objects.get(name=name) for name in drive["between"])
            drives.set_drive(one, other, drive["minutes"])
        _fit_out_crew(scenario, studio)
        library.bring_in_starters(studio)
    # The oldest first, so that numbers of offers and invoices rise with their days.
    for event in sorted(scenario["events"], key=lambda event: event["day"]):
        # One transaction each, as the product does it.
        with tenancy.entered(studio.pk, slug=studio.slug, role=Role.OWNER, person_id=persons[0].pk):
            _play(event, scenario, studio)
    with tenancy.entered(studio.pk, slug=studio.slug, role=Role.OWNER, person_id=persons[0].pk):
        _let_some_lack()
        _order_some()
        alerts.update_alerts()
    return studio


def _read_scenario(path: Path) -> Written:
    scenario = tomllib.loads(path.read_text("utf-8"))
    with path.with_name(f"{path.stem}_shelf.csv").open(encoding="utf-8", newline="") as table:
        scenario["shelf"]["items"] = [_read_shelf_row(row) for row in csv.DictReader(table)]
    return scenario


def _read_shelf_row(row: dict[str, str]) -> Written:
    """The facts of one item that a row fills in; an outline is its shape and its lengths in metres, in the order in
    which its kind has them: of a frame width, height and tube."""
    facts: Written = {name: value for name, value in row.items() if value}
    for whole in ("count", "expected_uses", "turnaround_hours", "bag_size"):
        if whole in facts:
            facts[whole] = int(facts[whole])
    if "outline" in facts:
        shape, *lengths = facts["outline"].split()
        _, *names = frame_outlines.fields_of(facts["kind"])
        facts["outline"] = {"shape": shape} | dict(zip(names, map(float, lengths), strict=False))
    return facts


def _person(who: dict[str, str]) -> Person:
    person = Person.objects.create(email=who["email"], name=who["name"], password=_hashed())
    EmailAddress.objects.create(user=person, email=person.email, verified=True, primary=True)
    return person


@cache
def _hashed() -> str:
    """Everybody's password, hashed once: that is made to take long."""
    return make_password(PASSWORD)


def _fill_shelf(shelf: Written) -> None:
    opening: list[Material] = []
    colours = [items.add_colour(**colour) for colour in shelf["colours"]]
    for place, colour in enumerate(colours):
        for latex in shelf["latex"]:
            facts = {**latex, "bag_price": Decimal(str(latex["bag_price"]))}
            there = int(facts.pop("on_hand") * VARIED[place % len(VARIED)])
            item = items.add_item(kind=Kind.LATEX, colour=colour, **facts)
            opening.append(Material(item.code, max(1, there)))
        facts = {**shelf["twisting"], "bag_price": Decimal(str(shelf["twisting"]["bag_price"]))}
        there = facts.pop("on_hand")
        opening.append(Material(items.add_item(kind=Kind.TWISTING, colour=colour, **facts).code, there))
    by_code = {colour.code: colour for colour in colours}
    opening += [_add_item(item, by_code) for item in shelf["items"]]
    with as_of(timezone.now() - timedelta(days=120)):
        movements.open_with(opening, reason="first count")


def _add_item(written: Written, colours: dict[str, Colour]) -> Material:
    facts = dict(written)
    kind, count = Kind(facts.pop("kind")), facts.pop("count")
    if "colour" in facts:
        facts["colour"] = colours[facts["colour"]]
    for amount in ("unit_cost", "bag_price", "weight_kg"):
        if amount in facts:
            facts[amount] = Decimal(str(facts[amount]))
    return Material(items.add_item(kind=kind, **facts).code, count)


def _add_suppliers(written: list[Written]) -> None:
    """Who sells the latex, and for how much: the bag's usual price times what each of them makes of it."""
    latex = list(Item.objects.filter(kind__in=[Kind.LATEX, Kind.TWISTING]).order_by("pk"))
    for each in written:
        facts = dict(each)
        share, colours = Decimal(str(facts.pop("share"))), facts.pop("colours", None)
        from_bags = facts.pop("break_from", None)
        for amount in ("minimum_order", "delivery_charge", "lead_spread_days"):
            if amount in facts:
                facts[amount] = Decimal(str(facts[amount]))
        supplier = suppliers.add_supplier(**facts)
        prices: list[SupplierPrice] = []
        for item in latex:
            if item.bag_size is None or item.bag_price is None:
                continue
            if colours and (item.colour is None or item.colour.code not in colours):
                continue
            price = (item.bag_price * share).quantize(Decimal("0.01"))
            prices.append(SupplierPrice(item=item, bag_size=item.bag_size, price=price))
            if from_bags:
                cheaper = (price * Decimal("0.92")).quantize(Decimal("0.01"))
                prices.append(
                    SupplierPrice(item=item, bag_size=item.bag_size, price=cheaper, from_bags=from_bags)
                )
        suppliers.add_prices(supplier, prices)


def _let_some_lack() -> None:
    """A box got damp: of the latex that jobs need most, less is left than they need."""
    latex = list(Item.objects.filter(kind=Kind.LATEX).values_list("pk", flat=True))
    promised = availability.promised_quantities(latex, now=timezone.now())
    for item_id, number in sorted(promised.items(), key=lambda pair: -pair[1])[:2]:
        movements.count(item_id, number * 7 // 10, key=f"damp-{item_id}", reason="a box got damp")


def _order_some() -> None:
    """One order is on its way, and a part of it is here."""
    supplier = Supplier.objects.order_by("pk")[0]
    prices = supplier.prices.filter(from_bags=1, item__size_in=11).order_by("-item_id")[:2]
    wanted = [orders.Wanted(each.item_id, each.bag_size, 2, each.price) for each in prices]
    with as_of(timezone.now() - timedelta(days=3)):
        order = orders.write_order(supplier.pk, wanted, key="first-order")
        orders.send_order(order.pk)
    line = order.lines.order_by("pk")[0]
    came = {line.pk: orders.Delivered(line.bag_size, "T-0926")}
    orders.receive_delivery(order.pk, came, key="first-part", note="delivery note 2214")


def _add_venue(written: Written, studio: Studio) -> Venue:
    facts = dict(written)
    for name in ("ceiling", "door_width", "door_height"):
        if name in facts:
            facts[f"{name}_m"] = lengths.parsed(facts.pop(name), studio.units)
    return venues.add_venue(**facts)


def _fit_out_crew(scenario: Written, studio: Studio) -> None:
    for van in scenario.get("vans", []):
        longest = lengths.parsed(van["longest"], studio.units)
        load_m3 = Decimal(str(van["load_m3"]))
        crew.save_van(Van(), name=van["name"], seats=van["seats"], load_m3=load_m3, longest_m=longest)
    for who in scenario.get("crew", []):
        found = next(each for each in crew.list_people() if each.name == who["name"])
        pay = Decimal(str(who["pay_an_hour"])) if "pay_an_hour" in who else None
        skills = dict.fromkeys(who["skills"], True)
        crew.change_person(found, is_called=True, pay_an_hour=pay, **skills)
        if "off_from" in who:
            first = timezone.now().astimezone(studio.tz).date() + timedelta(days=who["off_from"])
            crew.take_days_off(
                found, first_day=first, last_day=first + timedelta(days=1), why=who.get("why", "")
            )


def _call_crew(taken: Event, event: Written) -> None:
    """Who works on it, the first of them driving, and with which van."""
    on_hand = {who.name: who.membership.pk for who in crew.list_people()}
    van = Van.objects.filter(name=event.get("van", "")).first()
    for kind in (ShiftKind.PREP, ShiftKind.INSTALL, ShiftKind.STRIKE):
        names = event["crew"]
        for place, name in enumerate(names):
            drives = place == 0 and kind != ShiftKind.PREP
            assigning.assign_person(taken.pk, kind, on_hand[name], drives=drives)
        if van and kind != ShiftKind.PREP:
            assigning.assign_van(taken.pk, kind, van.pk)


# --- One event, as far as its course goes ---------------------------------------------------------------------


def _play(event: Written, scenario: Written, studio: Studio) -> None:
    course = event["course"]
    ready = _ready_by(event, studio)
    settled = course in AGREED_COURSES or ready < timezone.now()
    asked = min(ready, timezone.now()) - timedelta(days=20) if settled else timezone.now() - timedelta(days=4)
    with as_of(asked):
        taken = _take(event, scenario, studio, ready)
    if course == "enquiry":
        return
    with as_of(asked + timedelta(minutes=20)):
        quote = _sketch(taken, event)
    if course in ("sketch", "called off"):
        if course == "called off":
            calling_off.call_off(taken.pk, why="The square is dug up that night.")
        return
    with as_of(asked + timedelta(hours=2)):
        _plan_supplies(quote, studio)
        offer = offering.offer(quote).offer
    with as_of(asked + timedelta(days=2)):
        _answer(offer, taken, course)
    if course in AGREED_COURSES:
        money.play(offer, event.get("money", "paid"), asked + timedelta(days=4))
    if event.get("crew"):
        _call_crew(taken, event)
    _go_on(taken, course)
    if settled:
        # Nobody wants letters about last month.
        letters = OutboxEntry.objects.filter(done_at=None).exclude(task__contains=".render_")
        letters.update(done_at=timezone.now())


def _plan_supplies(quote: Quote, studio: Studio) -> None:
    missing = supplies.find_missing(sheet.read_sheet(quote, studio, pictures=False))
    day = supplies.latest_day(quote)
    # Besides latex, only pillars of the venue.
    kinds = {
        one.code: SupplyKind.BUY if one.code.startswith("latex-") else SupplyKind.SITE for one in missing
    }
    chosen = {code: supplies.Choice(kind, day, cost=A_BALLOON) for code, kind in kinds.items()}
    supplies.plan_supplies(quote.pk, chosen)


def _ready_by(event: Written, studio: Studio) -> datetime:
    today: date = timezone.now().astimezone(studio.tz).date()
    return times.local(today + timedelta(days=event["day"]), time.fromisoformat(event["ready_by"]), studio.tz)


def _take(event: Written, scenario: Written, studio: Studio, ready: datetime) -> Event:
    client = next(who for who in scenario["clients"] if who["name"] == event["client"])
    size = {name: lengths.parsed(event[name], studio.units) for name in ("width", "height") if name in event}
    return take_enquiry(
        title=event["title"],
        event_windows=event_times.usual(ready_by=ready),
        client_name=client["name"],
        client_email=client["email"],
        client_phone=client["phone"],
        venue_id=Venue.objects.get(name=event["venue"]).pk,
        wanted=Wanted(width_m=size.get("width"), height_m=size.get("height")),
        said=event.get("said", ""),
    )


def _sketch(taken: Event, event: Written) -> Quote:
    name = event.get("design", USUAL_DESIGN)
    template = next(each for each in library.templates() if each.name == name)
    quote = sketch.start_quote(taken, template)
    piece = quote.pieces.get()
    shares = {colour["colour"]: colour["share"] for colour in piece.design["palette"]}
    changes = alterations(shares, event["colours"])
    changes |= {f"site.{fact}": value for fact, value in event.get("site", {}).items()}
    quote = sketch.alter_piece(quote.pk, piece.pk, changes, version=quote.version)
    if "keep_as" in event:
        studio = entered_studio()
        library.keep_piece(quote.pieces.get(), event["keep_as"], studio)
    return _haggle(_mark_options(quote, piece, event), event)


def _haggle(quote: Quote, event: Written) -> Quote:
    """Discount, and instalments by day."""
    if "discount" in event:
        quote = adjusting.adjust(
            quote.pk, rush_percent=Decimal(0), discount_percent=Decimal(event["discount"]), discount_amount=Decimal(0),
            reason=event["discount_reason"], version=quote.version,
        )  # fmt: skip
    if "instalments" in event:
        today = timezone.now().date()
        parts = [
            Instalment(Decimal(share), today + timedelta(days=days)) for share, days in event["instalments"]
        ]
        quote = adjusting.set_payment(
            quote.pk, deposit_percent=None, instalments=parts, version=quote.version
        )
    return quote


def _mark_options(quote: Quote, piece: SetPiece, event: Written) -> Quote:
    """Free lines, and what of it all the client may switch."""
    choices = {f"florals-{piece.pk}": Choice(event["florals"])} if "florals" in event else {}
    for line in event.get("lines", ()):
        quote = sketch.add_free_line(
            quote.pk,
            label=line["label"],
            quantity=Decimal(1),
            unit_price=Decimal(str(line["price"])),
            tax_id=None,
            version=quote.version,
        )
        if "choice" in line:
            made = quote.free_lines.get(label=line["label"])
            choices[f"line-{made.pk}"] = Choice(line["choice"])
    return sketch.set_options(quote.pk, choices, version=quote.version) if choices else quote


def _answer(offer: Offer, taken: Event, course: str) -> None:
    visitor = Visitor(address="203.0.113.7", user_agent="a client's phone")
    if course == "declined":
        agreeing.decline(
            offer.pk, name=taken.client.name, words="Another studio was nearer.", visitor=visitor
        )
    elif course in AGREED_COURSES:
        shown = PageShown(version=offer.version, total=str(offer.total), digest=offer.digest)
        agreeing.agree(offer.pk, shown=shown, name=taken.client.name, ticked=True, visitor=visitor)


def _go_on(taken: Event, course: str) -> None:
    taken.refresh_from_db()
    if course in ("prepared", "installed", "counted back"):
        with as_of(taken.load_out_at):
            _load_van(taken)
            stages.reach(taken.pk, Stage.PREPARED)
    if course in ("installed", "counted back"):
        with as_of(taken.ready_by):
            stages.reach(taken.pk, Stage.INSTALLED)
            _photograph(taken)
    if course == "counted back":
        with as_of(taken.back_at + timedelta(hours=12)):
            _count_back(taken)


def _photograph(taken: Event) -> None:
    colours = list(Colour.objects.order_by("pk").values_list("hex", flat=True)[:4])
    picture = snapshot(colours, seed=taken.pk)
    size = picture.getbuffer().nbytes
    photos.save_photo(taken.pk, TakenPhoto(uuid.uuid4(), timezone.now(), picture, size, "van phone"))


def _count_back(taken: Event) -> None:
    """What is used up was used, what comes back came back, spare balloons with it, but for one thing that broke."""
    ops = []
    broken = 1
    for state in load_list.find_load_out_list(taken.pk).states:
        whole, used = (
            (0, state.due_back) if state.line.code.startswith(("latex-", "260-")) else (state.due_back, 0)
        )
        broke = min(broken, whole) if whole > 1 else 0
        broken -= broke
        ops.append(
            TickOp(
                uuid.uuid4(),
                state.line.pk,
                whole - broke,
                timezone.now(),
                "van phone",
                kind=TickKind.BACK,
                broken=broke,
                used=used,
            )
        )
    ticks.save_ticks(taken.pk, ops)
    returns.count_back(taken.pk)


def _load_van(taken: Event) -> None:
    crew = Membership.objects.filter(role=Role.CREW).first()
    groups = load_list.find_load_out_list(taken.pk).groups
    ops = [
        TickOp(uuid.uuid4(), state.line.pk, state.line.quantity, timezone.now(), "van phone")
        for group in groups
        for state in group.lines
    ]
    tenant = tenancy.current()
    with tenancy.entered(
        tenant.studio_id, slug=tenant.slug, role=Role.CREW, person_id=crew.person_id if crew else None
    ):
        ticks.save_ticks(taken.pk, ops)
