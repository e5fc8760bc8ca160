"""Every address of the site, walked with another studio's objects: nothing but "not found".

The addresses are read from the site itself, so a new page is walked without being named here; a new kind of id in an
address must be named in :data:`MODELS`, or the walk fails.
"""

from __future__ import annotations

import io
import re
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.apps import apps
from django.db import connection
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver
from django.utils import timezone
from PIL import Image
from pytest_django import DjangoDbBlocker

from events.crew_phones import phone_links
from events.loadout import photos
from events.loadout.photos import TakenPhoto
from quoting.demo import load
from quoting.drawing_table import opening
from quoting.models import Quote, SetPiece
from stock.ledger import movements
from stock.models import Item
from studio import tenancy
from studio.models import Membership, Person, Studio
from studio.people.membership import memberships_of
from studio.tenancy.rights import Right, Role, may
from tests import database

MODELS = {
    "membership_id": "studio.Membership",
    "invitation_id": "studio.Invitation",
    "tax_id": "studio.TaxRate",
    "item_id": "stock.Item",
    "colour_id": "stock.Colour",
    "hold_id": "stock.Hold",
    "kit_id": "stock.Kit",
    "tagged_id": "stock.Piece",
    "supplier_id": "stock.Supplier",
    "order_id": "stock.PurchaseOrder",
    "event_id": "events.Event",
    "transfer_id": "stock.AgreedTransfer",
    "request_id": "events.TransferRequest",
    "photo_id": "events.Photo",
    "enclosure_id": "events.Enclosure",
    "client_id": "events.Client",
    "venue_id": "events.Venue",
    "van_id": "events.Van",
    "way_id": "events.WayToReach",
    "phone_id": "studio.CrewPhone",
    "call_id": "events.CrewCall",
    "day_off_id": "events.DayOff",
    "line_id": "quoting.FreeLine",
    "supply_id": "quoting.Supply",
    "quote_id": "quoting.Quote",
    "piece_id": "quoting.SetPiece",
    "design_id": "quoting.DesignTemplate",
    "template_id": "quoting.DesignTemplate",
    "offer_id": "quoting.Offer",
    "invoice_id": "quoting.Invoice",
    "payment_id": "quoting.Payment",
    "draft_id": "quoting.TableDraft",
}

WORDS = {
    "step": "installed", "code": "latex-11-oat", "paper_kind": "run-sheet", "place": "1", "letter": "offer",
    "language": "de",
}  # fmt: skip
"""What stands for itself in an address."""


@dataclass(frozen=True)
class Address:
    """One page of a studio: its pattern, the kinds of id in it, and the right it asks for."""

    pattern: str
    ids: tuple[str, ...]
    right: Right | None

    def filled(self, slug: str, ids: dict[str, int]) -> str:
        """The address with a studio's short name and ids."""
        text = re.sub(r"<studio:slug>", slug, self.pattern)
        return "/" + re.sub(r"<(?:\w+:)?(\w+)>", lambda m: str(ids.get(m[1], WORDS.get(m[1], "x"))), text)


def patterns(resolver: Any = None, prefix: str = "") -> Iterator[tuple[str, URLPattern]]:
    for entry in (resolver or get_resolver()).url_patterns:
        here = prefix + str(entry.pattern)
        if isinstance(entry, URLResolver):
            yield from patterns(entry, here)
        else:
            yield here, entry


def studio_addresses() -> list[Address]:
    found = []
    for pattern, entry in patterns():
        if pattern.startswith("s/<studio:slug>/"):
            ids = tuple(name for name in re.findall(r"<(?:\w+:)?(\w+)>", pattern) if name != "slug")
            found.append(Address(pattern, ids, getattr(entry.callback, "required_right", None)))
    return found


@dataclass(frozen=True)
class Season:
    """The two demo studios, the ids in them, and browsers of their people."""

    mine: Studio
    theirs: Studio
    my_ids: dict[str, int]
    their_ids: dict[str, int]

    def browser(self, role: Role) -> Client:
        with tenancy.entered(self.mine.pk):
            person = Person.objects.get(pk=Membership.objects.filter(role=role).values("person")[:1])
        client = Client()
        client.force_login(person)
        return client


def ids_of(studio: Studio) -> dict[str, int]:
    with tenancy.entered(studio.pk):
        opening.open_empty(studio)
        receipt = movements.receive(Item.objects.latest("pk").pk, 1, key="walked")
        newest = {"receipt_id": receipt.movement_id} | {
            name: apps.get_model(label)._default_manager.order_by("-pk").values_list("pk", flat=True).first()
            for name, label in MODELS.items()
        }
    return {name: pk for name, pk in newest.items() if pk is not None}


@pytest.fixture(scope="module")
def loaded(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[Season]:
    """The demo's season, in a database of its own for the three walks."""
    name = f"{connection.settings_dict['NAME']}_season"
    with django_db_blocker.unblock(), database.with_demo(name), database.connected_to(name):
        theirs, mine = (studio_of(who.email) for who in load.sign_ins() if who.role == Role.OWNER)
        assert (theirs.slug, mine.slug) == ("wickerlark", "federkorn")
        yield Season(mine, theirs, ids_of(mine), ids_of(theirs))


def studio_of(email: str) -> Studio:
    """The studio that they belong to."""
    (membership,) = memberships_of(Person.objects.get(email=email))
    return membership.studio


@pytest.fixture
def season(loaded: Season, db: None) -> Season:
    """What each walk does to it is taken back at its end."""
    return loaded


def answers(browser: Client, address: str) -> dict[str, int]:
    """Status by method; what isn't allowed is left out."""
    found = {"GET": browser.get(address).status_code, "POST": browser.post(address, {}).status_code}
    return {method: status for method, status in found.items() if status != 405}


def test_every_page_of_a_studio_declares_the_right_it_asks_for() -> None:
    addresses = studio_addresses()
    assert len(addresses) > 20
    assert [address.pattern for address in addresses if address.right is None] == []


def test_every_kind_of_id_in_an_address_is_walked() -> None:
    known = {*MODELS, "receipt_id", "stage", "kind", "place", "asked", "name", "digest", *WORDS}
    unknown = {name for address in studio_addresses() for name in address.ids} - known
    assert unknown == set()


@pytest.mark.slow
def test_another_studios_objects_are_found_nowhere(season: Season) -> None:
    owner = season.browser(Role.OWNER)
    wrong = []
    for address in studio_addresses():
        with_their_name = answers(owner, address.filled(season.theirs.slug, season.their_ids))
        if set(with_their_name.values()) != {404}:
            wrong.append((address.pattern, "their studio", with_their_name))
        if any(name in MODELS for name in address.ids):
            with_their_ids = answers(owner, address.filled(season.mine.slug, season.their_ids))
            if set(with_their_ids.values()) != {404}:
                wrong.append((address.pattern, "their ids", with_their_ids))
    assert wrong == []


@pytest.mark.slow
def test_every_page_opens_for_whoever_has_the_right_and_for_nobody_else(season: Season) -> None:
    stranger = Client()
    wrong: list[tuple[str, str, int]] = []
    for role in (Role.OWNER, Role.STAFF, Role.CREW):
        browser = season.browser(role)
        for address in studio_addresses():
            if not all(name in season.my_ids or name not in MODELS for name in address.ids):
                continue
            status = browser.get(address.filled(season.mine.slug, season.my_ids)).status_code
            assert address.right is not None
            expected = {200, 302, 304, 404, 405, 422} if may(role, address.right) else {403, 405}
            if status not in expected:
                wrong.append((role, address.pattern, status))
    for address in studio_addresses():
        if not all(name in season.my_ids or name not in MODELS for name in address.ids):
            continue
        status = stranger.get(address.filled(season.mine.slug, season.my_ids)).status_code
        if status not in (302, 405):
            wrong.append(("stranger", address.pattern, status))
    assert wrong == []


OPENED_BY_LINK = {
    "load-out/", "load-out/steps/<str:step>/", "load-out/ticks", "load-out/photos",
    "count-back/", "run-sheet/", "run-sheet/ring/", "papers/<slug:paper_kind>/", "language/",
}  # fmt: skip
BY_ID = ("photos/<int:photo_id>.jpg", "quotes/<int:quote_id>/build/", "pieces/<int:piece_id>/small/")
"""Photos, and the build sheets and small pictures of what was agreed."""


@pytest.mark.slow
def test_a_phone_opens_the_lists_of_its_event_by_its_link_and_nothing_else(season: Season) -> None:
    own_ids, others = agreed_with_sheets(season.mine)
    ids, event_id = {**season.my_ids, **own_ids}, own_ids["event_id"]
    with tenancy.entered(season.mine.pk):
        given = phone_links.give(event_id, whose="Rosa")
    browser = Client()
    assert browser.post(urlsplit(given.address).path).status_code == 302
    wrong = []
    for address in studio_addresses():
        page = address.pattern.removeprefix("s/<studio:slug>/")
        own = page.removeprefix("events/<int:event_id>/") in OPENED_BY_LINK or page.startswith(BY_ID)
        found = answers(browser, address.filled(season.mine.slug, ids))
        if own and not set(found.values()) <= {200, 302, 422}:
            wrong.append((page, "its own", found))
        if not own and set(found.values()) - {404}:
            wrong.append((page, "not its own", found))
        elsewhere = answers(browser, address.filled(season.mine.slug, {**ids, **others}))
        if set(elsewhere.values()) - {404}:
            wrong.append((page, "another event's", elsewhere))
    assert wrong == []


def agreed_with_sheets(studio: Studio) -> list[dict[str, int]]:
    """Two events with an agreed quote and a photo each, the first of them still to come."""
    with tenancy.entered(studio.pk, role=Role.CREW):
        agreed = Quote.objects.filter(state="agreed").order_by("-event__back_at")
        found = {quote.event_id: quote.pk for quote in agreed}
        return [
            {
                "event_id": event_id,
                "quote_id": quote_id,
                "photo_id": taken_at(event_id),
                "piece_id": SetPiece.objects.filter(quote=quote_id).earliest("pk").pk,
            }
            for event_id, quote_id in list(found.items())[:2]
        ]


def taken_at(event_id: int) -> int:
    upload = io.BytesIO()
    Image.new("RGB", (40, 30), "teal").save(upload, "JPEG")
    size = upload.tell()
    upload.seek(0)
    return photos.save_photo(event_id, TakenPhoto(uuid.uuid4(), timezone.now(), upload, size)).pk
