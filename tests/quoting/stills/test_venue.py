"""A piece before the venue's own photo: offered where one is marked, another picture when a mark moves, honest when the
photo is gone."""

from __future__ import annotations

import io
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from PIL import Image

from events.booking import attachments
from events.models import Enclosure
from quoting.models import Quote, RoomPhoto, SetPiece, Still, StillState
from quoting.offers import offering
from quoting.room_scene import scene
from quoting.stills import rendering, stills, venue
from quoting.stills.rendering import Rendered
from quoting.stills.venue import NoPhoto
from quoting.tasks import render_still
from studio.models import StoredFile
from studio.paper.images import digest_of
from tests import worker
from tests.people import House
from tests.quoting import offer_scenes, scenes
from tests.quoting.stills.conftest import jpeg


@pytest.fixture
def quote(wickerlark: House) -> Quote:
    with wickerlark.enter():
        return scenes.quote(wickerlark)


def photo(quote: Quote, colour: str = "#777777") -> Enclosure:
    content = jpeg(800, 600, colour)
    file = StoredFile.objects.create(
        name="hall.jpg", media_type="image/jpeg", content=content, digest=digest_of(content)
    )
    return Enclosure.objects.create(event=quote.event, name="hall.jpg", file=file, is_picture=True)


def mark(quote: Quote, found: Enclosure, floor: float = 0.8) -> RoomPhoto:
    marks = scene.Marks((0.25, 0.8), (0.75, 0.8), Decimal(2), floor, 0.45, Decimal(4))
    return scene.put_behind(quote.pk, found.pk, marks)


def choose(quote: Quote) -> SetPiece:
    SetPiece.objects.filter(quote=quote).update(still_room="venue")
    return quote.pieces.get()


def test_the_venue_is_a_choice_where_its_photo_is_marked_and_nowhere_else(
    wickerlark: House, quote: Quote, renderer: list[Any]
) -> None:
    with wickerlark.enter():
        address = wickerlark.url("quoting:piece-still", quote.pk, quote.pieces.get().pk)
        found = photo(quote)
    client = wickerlark.client("staff")
    assert 'value="venue"' not in client.get(address).content.decode()
    assert client.post(address, {"room": "venue", "turn_deg": "0"}).status_code == 422
    with wickerlark.enter():
        mark(quote, found)
    assert "Your venue’s photo" in client.get(address).content.decode()
    assert client.post(address, {"room": "venue", "turn_deg": "0"}).status_code == 302
    with wickerlark.enter():
        assert Still.objects.get().room == "venue"


def test_the_piece_stands_where_the_picture_of_the_room_has_it(wickerlark: House, quote: Quote) -> None:
    with wickerlark.enter():
        kept = mark(quote, photo(quote))
        backdrop = venue.read(venue.written(kept, Decimal("-0.5"), Decimal("1.5")))
        scale, floor = scene.seen_in(kept).at_depth(1.5)
    assert backdrop.seen_at(-0.5, 0.0) == pytest.approx((400 - 0.5 * scale, floor), abs=1e-3)


def test_the_photo_is_rendered_behind_the_piece_with_its_light(
    wickerlark: House, quote: Quote, renderer: list[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Any] = []

    def paint(files: Any, look: Any, progress: Any, *, behind: Any) -> Rendered:
        asked.append((look, behind))
        return Rendered(jpeg(), jpeg(80, 62))

    monkeypatch.setattr(rendering, "rendered", paint)
    with wickerlark.enter():
        mark(quote, photo(quote, "#bcbcbc"))
        stills.ask(choose(quote))
    worker.do_tasks(wickerlark, render_still)
    ((look, behind),) = asked
    assert behind.shape == (look.height, look.width, 3)
    assert behind.mean() == pytest.approx(0xBC / 255, abs=0.01)
    assert look.backdrop.light.mean == pytest.approx(0.503, abs=0.01)
    with wickerlark.enter():
        assert Still.objects.get().state == StillState.READY


def test_a_moved_mark_another_photo_and_a_moved_piece_are_other_stills(
    wickerlark: House, quote: Quote
) -> None:
    with wickerlark.enter():
        first = photo(quote)
        piece, keys = choose(quote), []
        for floor in (0.8, 0.82):
            mark(quote, first, floor)
            keys.append(stills.key_of_piece(piece))
        mark(quote, photo(quote, "#778877"))
        keys.append(stills.key_of_piece(piece))
        piece.room_back_m = Decimal(1)
        keys.append(stills.key_of_piece(piece))
        mark(quote, first)
        piece.room_back_m = Decimal(0)
        assert stills.key_of_piece(piece) == keys[0]
    assert len(set(keys)) == 4


def test_a_photo_that_is_gone_is_told_and_the_studio_stands_in_only_when_chosen(
    wickerlark: House, quote: Quote, renderer: list[Any]
) -> None:
    with wickerlark.enter():
        found = photo(quote)
        mark(quote, found)
        piece = choose(quote)
        attachments.remove(found.pk)
        with pytest.raises(NoPhoto):
            stills.ask(piece)
        address = wickerlark.url("quoting:piece-still", quote.pk, piece.pk)
    client = wickerlark.client("staff")
    assert "gone or has no marks any more" in client.get(address).content.decode()
    with wickerlark.enter():
        assert quote.pieces.get().still_room == "venue", "nobody has chosen another"
    client.post(address, {"room": "studio", "turn_deg": "0"})
    assert "gone or has no marks" not in client.get(address).content.decode()
    with wickerlark.enter():
        assert Still.objects.get().room == "studio"


def test_a_photo_that_goes_before_its_turn_fails_and_is_told(
    wickerlark: House, quote: Quote, renderer: list[Any]
) -> None:
    with wickerlark.enter():
        found = photo(quote)
        mark(quote, found)
        stills.ask(choose(quote))
        attachments.remove(found.pk)
    worker.do_tasks(wickerlark, render_still)
    with wickerlark.enter():
        assert Still.objects.get().state == StillState.FAILED
    assert not renderer


def test_an_offer_keeps_its_picture_when_the_photo_goes(wickerlark: House, renderer: list[Any]) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        found = photo(quote)
        mark(quote, found)
        choose(quote)
        offered = offering.offer(quote)
        key = Still.objects.get().key
    worker.do_tasks(wickerlark, render_still)
    with wickerlark.enter():
        attachments.remove(found.pk)
    client, address = offer_scenes.open_link(offered.address)
    assert client.get(f"{address}still/{key}.jpg").content == jpeg()


def test_an_offer_without_the_photo_shows_the_drawing(wickerlark: House, renderer: list[Any]) -> None:
    with wickerlark.enter():
        quote = offer_scenes.quote(wickerlark)
        choose(quote)
        offered = offering.offer(quote)
        assert not Still.objects.exists()
    client, address = offer_scenes.open_link(offered.address)
    page = client.get(address)
    assert page.status_code == 200
    assert "/pictures" not in page.content.decode(), "nothing is waited for"


def test_keys_of_many_pieces_take_one_query(wickerlark: House, quote: Quote) -> None:
    with wickerlark.enter():
        mark(quote, photo(quote))
        shown = stills._shown(choose(quote))
        with CaptureQueriesContext(
            connection,
        ) as asked:
            assert len(set(stills.keys_of([shown] * 5))) == 1
        assert len(asked) == 1


@pytest.mark.parametrize("wrong", [{"room": "venue"}, {"room": "hall", "backdrop": {"photo": "x"}}])
def test_the_database_holds_photo_and_room_together(
    wickerlark: House, quote: Quote, wrong: dict[str, Any]
) -> None:
    with wickerlark.enter(), pytest.raises(IntegrityError), transaction.atomic():
        Still.objects.create(key="k", design=quote.pieces.get().design, turn_deg=0, **wrong)


def test_a_photo_of_too_many_pixels_is_refused(wickerlark: House, quote: Quote) -> None:
    out = io.BytesIO()
    Image.new("L", (6000, 5000)).save(out, "JPEG")
    with wickerlark.enter():
        StoredFile.objects.create(
            name="a.jpg", media_type="image/jpeg", content=out.getvalue(), digest=digest_of(out.getvalue())
        )
        with pytest.raises(venue.PhotoGone, match="24 million"):
            venue.pixels({"photo": digest_of(out.getvalue())})
