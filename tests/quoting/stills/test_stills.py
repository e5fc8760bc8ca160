"""Lifelike pictures: asked for once, kept with the offer, honest about what isn't there."""

from __future__ import annotations

import io
import json
from typing import Any

import pytest
import trimesh
from django.db import IntegrityError, connection, transaction
from django.http import Http404
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from pypdf import PdfReader

from quoting.models import Offer, Quote, SetPiece, Still, StillState
from quoting.offers import offering
from quoting.offers import pdf as offer_pdf
from quoting.offers.document_presenter import present_offer
from quoting.prints import images as prints
from quoting.quotes import sheet, sketch
from quoting.stills import rendering, stills
from quoting.stills.rendering import NotRendered, Rendered
from quoting.tasks import render_still, renew_offer_pdf
from studio.models import OutboxEntry
from studio.tenancy.fair_share import TooMuch
from tests import worker
from tests.people import House
from tests.quoting import offer_scenes, scenes
from tests.quoting.stills.conftest import jpeg


@pytest.fixture
def piece(wickerlark: House) -> SetPiece:
    with wickerlark.enter():
        quote: Quote = scenes.quote(wickerlark)
        return quote.pieces.get()


def do_work(house: House) -> int:
    return worker.do_tasks(house, render_still, renew_offer_pdf)


def test_a_still_is_asked_for_rendered_and_shown(
    wickerlark: House, piece: SetPiece, renderer: list[Any]
) -> None:
    address = wickerlark.url("quoting:piece-still", piece.quote_id, piece.pk)
    client = wickerlark.client("staff")
    assert "Nobody has asked" in client.get(address).content.decode()
    assert client.post(address, {"room": "hall", "turn_deg": "15"}).status_code == 302
    assert "waits for its turn" in client.get(address).content.decode()
    assert do_work(wickerlark) == 1
    page = client.get(address).content.decode()
    with wickerlark.enter():
        still = Still.objects.get()
        assert (still.room, still.turn_deg, still.state) == ("hall", 15, "ready")
    assert renderer[0][1].room == "hall"
    picture = client.get(wickerlark.url("quoting:still-picture", still.key))
    assert picture["Content-Type"] == "image/jpeg"
    assert picture.content == jpeg()
    assert client.get(wickerlark.url("quoting:still-picture", still.key) + "?small").content == jpeg(80, 62)
    assert still.key in page


def test_asking_twice_renders_once_and_a_changed_piece_is_another_still(
    wickerlark: House, piece: SetPiece, renderer: list[Any]
) -> None:
    with wickerlark.enter():
        assert stills.ask(piece) == stills.ask(piece)
        sketch.alter_piece(piece.quote_id, piece.pk, {"loss": 0.2}, version=1)
        assert stills.of_piece(SetPiece.objects.get(pk=piece.pk)) is None
        sketch.alter_piece(piece.quote_id, piece.pk, {"fullness": 0.8}, version=2)
        stills.ask(SetPiece.objects.get(pk=piece.pk))
    assert do_work(wickerlark) == 2
    assert len(renderer) == 2


def test_a_still_that_fails_says_so_and_may_be_tried_again_a_few_times(
    wickerlark: House, piece: SetPiece, renderer: list[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: Any, **__: Any) -> Rendered:
        raise NotRendered("out of memory")

    monkeypatch.setattr(rendering, "rendered", fail)
    address = wickerlark.url("quoting:piece-still", piece.quote_id, piece.pk)
    client = wickerlark.client("staff")
    for _ in range(stills.MOST_TRIES + 1):
        client.post(address, {"room": "studio", "turn_deg": "0"})
        do_work(wickerlark)
        assert "couldn’t be made" in client.get(address).content.decode()
    with wickerlark.enter():
        assert Still.objects.get().tries == stills.MOST_TRIES


def test_a_still_whose_work_was_given_up_says_so_and_can_be_asked_for_again(
    wickerlark: House, piece: SetPiece, renderer: list[Any]
) -> None:
    address = wickerlark.url("quoting:piece-still", piece.quote_id, piece.pk)
    client = wickerlark.client("staff")
    client.post(address, {"room": "studio", "turn_deg": "0"})
    with wickerlark.enter():
        OutboxEntry.objects.filter(task=stills.TASK).update(failed_at=timezone.now())
    page = client.get(address).content.decode()
    assert "You can ask for it again" in page
    assert "hx-trigger" not in page.partition('id="still"')[2].partition(">")[0], "nothing is waited for"
    client.post(address, {"room": "studio", "turn_deg": "0"})
    assert "waits for its turn" in client.get(address).content.decode()
    do_work(wickerlark)
    with wickerlark.enter():
        still = Still.objects.get()
        assert (still.state, still.tries) == (StillState.READY, 2)


def test_a_still_far_back_in_the_line_says_how_many_come_first(
    wickerlark: House, piece: SetPiece, renderer: list[Any]
) -> None:
    address = wickerlark.url("quoting:piece-still", piece.quote_id, piece.pk)
    client = wickerlark.client("staff")
    for room, words in (
        ("studio", "its turn; each"),
        ("hall", "1 other picture is"),
        ("garden", "2 other pictures are"),
    ):
        client.post(address, {"room": room, "turn_deg": "0"})
        assert words in client.get(address).content.decode()


def test_a_client_isnt_kept_waiting_for_a_still_that_was_given_up(
    wickerlark: House, renderer: list[Any]
) -> None:
    with wickerlark.enter():
        offered = offering.offer(offer_scenes.quote(wickerlark))
        OutboxEntry.objects.filter(task=stills.TASK).update(failed_at=timezone.now())
    client, address = offer_scenes.open_link(offered.address)
    assert "/pictures" not in client.get(address).content.decode()


def test_a_cover_is_rendered_with_the_image_that_is_printed_on_it(
    wickerlark: House, piece: SetPiece, renderer: list[Any]
) -> None:
    with wickerlark.enter():
        image = prints.keep(io.BytesIO(jpeg(400, 600)), size=len(jpeg(400, 600)), name="Flowers")
        plain = stills.ask(piece).key
        design = json.loads(json.dumps(piece.design))
        covered = next(frame for frame in design["frames"] if frame.get("cover"))
        covered["cover_print"] = {"digest": image.digest, "aspect": image.width_px / image.height_px}
        SetPiece.objects.filter(pk=piece.pk).update(design=design)
        assert stills.ask(SetPiece.objects.get(pk=piece.pk)).key != plain
    assert do_work(wickerlark) == 2
    (first, _), (second, _) = renderer
    changed = [
        name
        for name in first.parts
        if name.endswith("-tones.png") and first.parts[name] != second.parts[name]
    ]
    assert len(changed) == 1


def test_an_offer_asks_for_stills_never_waits_and_gets_them_on_page_and_paper(
    wickerlark: House, renderer: list[Any]
) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        offer = offering.offer(sheet.find_quote(quote.pk)).offer
        before = offer_pdf.make(offer.pk)
        assert len(images(bytes(before.content))) == 0
        assert Still.objects.get().state == StillState.ASKED
        sketch.alter_piece(quote.pk, quote.pieces.get().pk, {"fullness": 0.8}, version=quote.version)
    while do_work(wickerlark):
        pass
    with wickerlark.enter():
        now = Offer.objects.select_related("pdf").get(pk=offer.pk)
        assert now.pdf is not None
        assert now.pdf.pk != before.pk
        assert len(images(bytes(now.pdf.content))) == 1
        key = stills.key_of_piece(quote.pieces.get())
        assert Still.objects.get().key != key, "the offer's still shows what was offered"


def images(content: bytes) -> set[str]:
    pages = PdfReader(io.BytesIO(content)).pages
    return {image.name for page in pages for image in page.images if image.name.endswith(".jpg")}


def test_a_client_sees_the_still_of_the_offer_and_no_other(wickerlark: House, renderer: list[Any]) -> None:
    with wickerlark.enter():
        offered = offering.offer(offer_scenes.quote(wickerlark))
        key = Still.objects.get().key
    client, address = offer_scenes.open_link(offered.address)
    page = client.get(address).content.decode()
    assert "client-pictures" in page or "/pictures" in page, "it asks again by itself"
    assert f"still/{key}.jpg" not in page, "the page shows no picture that isn't there"
    assert client.get(f"{address}still/{key}.jpg").status_code == 404, "not there yet"
    do_work(wickerlark)
    assert f"{address}still/{key}.jpg" in client.get(f"{address}pictures").content.decode()
    assert client.get(f"{address}still/{key}.jpg").content == jpeg()
    assert client.get(f"{address}still/{'0' * 64}.jpg").status_code == 404


def test_a_still_of_another_studio_is_not_found(
    wickerlark: House, federkorn: House, piece: SetPiece, renderer: list[Any]
) -> None:
    with wickerlark.enter():
        key = stills.ask(piece).key
    do_work(wickerlark)
    assert federkorn.client().get(federkorn.url("quoting:still-picture", key)).status_code == 404
    address = federkorn.url("quoting:piece-still", piece.quote_id, piece.pk)
    assert federkorn.client().post(address, {"room": "hall", "turn_deg": "0"}).status_code == 404
    with federkorn.enter(), pytest.raises(Http404):
        stills.find(key)


def test_without_a_renderer_nothing_is_asked_for_and_nothing_is_said_to_be_missing(
    wickerlark: House, settings: Any
) -> None:
    settings.STILLS = False
    with wickerlark.enter():
        offered = offering.offer(offer_scenes.quote(wickerlark))
        assert not Still.objects.exists()
        assert not OutboxEntry.objects.filter(task=stills.TASK).exists()
        quote_id = offered.offer.quote_id
    page = wickerlark.client("staff").get(wickerlark.url("quoting:quote", quote_id)).content.decode()
    assert "Lifelike picture" not in page
    client, address = offer_scenes.open_link(offered.address)
    assert "/pictures" not in client.get(address).content.decode()


@pytest.mark.parametrize("wrong", [{"room": "moon"}, {"turn_deg": 90}, {"state": "ready"}])
def test_the_database_refuses_what_is_no_still(
    wickerlark: House, piece: SetPiece, wrong: dict[str, Any]
) -> None:
    with wickerlark.enter(), pytest.raises(IntegrityError), transaction.atomic():
        Still.objects.create(**{"key": "k", "design": piece.design, "room": "hall", "turn_deg": 0} | wrong)


def test_a_room_that_there_is_not_is_refused_at_its_field(
    wickerlark: House, piece: SetPiece, renderer: list[Any]
) -> None:
    address = wickerlark.url("quoting:piece-still", piece.quote_id, piece.pk)
    answer = wickerlark.client("staff").post(address, {"room": "moon", "turn_deg": "0"})
    assert answer.status_code == 422
    assert not renderer


def test_a_client_turns_a_piece_as_it_was_offered(wickerlark: House) -> None:
    with wickerlark.enter():
        offered = offering.offer(offer_scenes.quote(wickerlark))
        quote = offered.offer.quote
        balloons = quote.pieces.get().takeoff.balloons
        sketch.alter_piece(quote.pk, quote.pieces.get().pk, {"fullness": 0.7}, version=quote.version)
        assert quote.pieces.get().takeoff.balloons != balloons
    client, address = offer_scenes.open_link(offered.address)
    page = client.get(address)
    assert f'data-model="{address}model/1.glb"' in page.content.decode()
    assert 'src="/static/quoting/vendor/model-viewer' not in page.content.decode(), "loaded after the tap"
    model = trimesh.load(io.BytesIO(client.get(f"{address}model/1.glb").content), file_type="glb")
    assert isinstance(model, trimesh.Scene)
    assert sum(" in" in str(node) for node in model.graph.nodes_geometry) == balloons
    assert client.get(f"{address}model/2.glb").status_code == 404
    assert client.get(f"{address}model/0.glb").status_code == 404


def test_an_offer_from_before_models_has_none(wickerlark: House) -> None:
    with wickerlark.enter():
        frozen = offering.offer(offer_scenes.quote(wickerlark)).offer.frozen
    document = json.loads(frozen)
    assert present_offer(frozen).pieces[0].has_model
    del document["quote"]["pieces"][0]["design"]
    assert not present_offer(json.dumps(document)).pieces[0].has_model


def test_an_offer_is_made_though_the_studio_asked_for_too_many_stills(
    wickerlark: House, renderer: list[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_: SetPiece) -> Still:
        raise TooMuch("You asked for too many lifelike pictures in a short time.", 60)

    monkeypatch.setattr(stills, "ask", refuse)
    with wickerlark.enter():
        offered = offering.offer(offer_scenes.quote(wickerlark))
    client, address = offer_scenes.open_link(offered.address)
    page = client.get(address)
    assert page.status_code == 200
    assert "/pictures" not in page.content.decode(), "nothing is waited for"


def test_a_still_that_fails_last_doesnt_keep_the_others_off_the_paper(
    wickerlark: House, renderer: list[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        quote = sketch.add_piece(quote.pk, scenes.starter(wickerlark.studio).pk, version=quote.version)
        last = quote.pieces.order_by("position").last()
        assert last is not None
        sketch.alter_piece(quote.pk, last.pk, {"fullness": 0.8}, version=quote.version)
        offer_scenes.plan_all(quote)
        offer = offering.offer(sheet.find_quote(quote.pk)).offer
        assert Still.objects.count() == 2
    paint = rendering.rendered
    painted: list[Any] = []

    def paint_once(*given: Any, **named: Any) -> Rendered:
        if painted:
            raise NotRendered("out of memory")
        painted.append(given)
        return paint(*given, **named)

    monkeypatch.setattr(rendering, "rendered", paint_once)
    while do_work(wickerlark):
        pass
    with wickerlark.enter():
        now = Offer.objects.select_related("pdf").get(pk=offer.pk)
        assert now.pdf is not None
        assert len(images(bytes(now.pdf.content))) == 1


def test_nobody_waits_for_a_still_that_is_being_rendered(
    wickerlark: House, piece: SetPiece, renderer: list[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A second offer of the same piece once hung until the renderer was done: its row was locked all the while."""
    locked: list[str] = []

    def look(*args: Any, **facts: Any) -> Rendered:
        locked.extend(
            query["sql"] for query in seen.captured_queries if 'FROM "quoting_still"' in query["sql"]
        )
        return Rendered(jpeg(), jpeg())

    with wickerlark.enter():
        still = stills.ask(piece)
        monkeypatch.setattr(rendering, "rendered", look)
        with CaptureQueriesContext(connection) as seen:
            stills.render(still.pk)
        assert locked
        assert not [sql for sql in locked if "FOR NO KEY UPDATE" in sql]
        assert Still.objects.get(pk=still.pk).state == StillState.READY
