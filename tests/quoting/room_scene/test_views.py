"""The room of a quote: pieces placed and undone, a photo scaled by its marks, wrong marks refused."""

from __future__ import annotations

import io
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from events.models import Enclosure
from quoting.models import Quote, QuoteState, RoomPhoto, SetPiece
from quoting.quote_page.presenter import change_words
from quoting.quotes import sketch
from tests.people import House
from tests.quoting import scenes


@pytest.fixture
def quote(wickerlark: House) -> Quote:
    with wickerlark.enter():
        made = scenes.quote(wickerlark)
        template = scenes.starter(wickerlark.studio)
        while made.pieces.count() < 2:
            made = sketch.add_piece(made.pk, template.pk, version=made.version)
        return made


def piece_ids(house: House, quote: Quote) -> list[int]:
    with house.enter():
        return list(SetPiece.objects.filter(quote=quote).order_by("position").values_list("pk", flat=True))


def send(house: House, name: str, *ids: int, data: dict[str, Any] | None = None) -> Any:
    return house.client("staff").post(house.url(name, *ids), data or {})


def place(house: House, quote: Quote, piece: int, x: str, back: str, version: int | None = None) -> Any:
    data = {f"p{piece}-x_m": x, f"p{piece}-back_m": back, f"p{piece}-version": version or quote.version}
    return send(house, "quoting:room-place", quote.pk, piece, data=data)


def attach(house: House, quote: Quote, size: tuple[int, int] = (800, 600)) -> int:
    out = io.BytesIO()
    Image.new("RGB", size, "#cccccc").save(out, "JPEG")
    upload = SimpleUploadedFile("hall.jpg", out.getvalue(), "image/jpeg")
    house.client("staff").post(house.url("events:event-attachment-add", quote.event_id), {"file": upload})
    with house.enter():
        return Enclosure.objects.latest("pk").pk


def marks(photo_id: int, **changes: object) -> dict[str, Any]:
    typed: dict[str, Any] = {
        "photo": photo_id, "mark_x1": 25, "mark_y1": 80, "mark_x2": 75, "mark_y2": 80, "mark_m": "2 m",
        "floor": 80, "horizon": 45, "distance_m": "4 m",
    }  # fmt: skip
    return typed | changes


def room(house: House, quote: Quote) -> str:
    page = house.client("staff").get(house.url("quoting:room-scene", quote.pk))
    assert page.status_code == 200
    html: str = page.content.decode()
    return html


def test_all_pieces_stand_side_by_side_at_first(wickerlark: House, quote: Quote) -> None:
    html = room(wickerlark, quote)
    assert html.count('class="scene-piece"') == 2
    assert "stand in one another" not in html
    assert "style=" not in html


def test_a_piece_that_is_moved_stays_there_and_undo_puts_it_back(wickerlark: House, quote: Quote) -> None:
    first, _ = piece_ids(wickerlark, quote)
    answer = place(wickerlark, quote, first, "−1 ft 6 in", "2 ft")
    assert answer.status_code == 302
    with wickerlark.enter():
        moved = SetPiece.objects.get(pk=first)
        assert (moved.room_x_m, moved.room_back_m) == (Decimal("-0.457"), Decimal("0.610"))
        assert moved.quote.version == quote.version + 1
        sketch.undo(quote.pk, version=moved.quote.version)
        assert SetPiece.objects.get(pk=first).room_x_m is None


def test_pieces_that_stand_in_one_another_are_named(wickerlark: House, quote: Quote) -> None:
    first, second = piece_ids(wickerlark, quote)
    place(wickerlark, quote, first, "0", "0")
    place(wickerlark, quote, second, "0", "0", version=quote.version + 1)
    assert "stand in one another" in room(wickerlark, quote)


def test_a_place_that_is_no_length_is_refused_at_its_field(wickerlark: House, quote: Quote) -> None:
    first, _ = piece_ids(wickerlark, quote)
    answer = place(wickerlark, quote, first, "far left", "200 ft")
    assert answer.status_code == 422
    html = answer.content.decode()
    assert html.count('aria-invalid="true"') == 2
    assert "far left" in html


def test_a_stale_place_is_refused(wickerlark: House, quote: Quote) -> None:
    first, _ = piece_ids(wickerlark, quote)
    place(wickerlark, quote, first, "0", "0")
    answer = place(wickerlark, quote, first, "3 ft", "0")
    assert answer.status_code == 409
    assert "in the meantime" in answer.content.decode()


def test_a_photo_goes_behind_the_pieces_and_away_again(wickerlark: House, quote: Quote) -> None:
    photo = attach(wickerlark, quote)
    assert "hall.jpg" in room(wickerlark, quote)
    assert send(wickerlark, "quoting:room-photo", quote.pk, data=marks(photo)).status_code == 302
    html = room(wickerlark, quote)
    assert f'<image href="{wickerlark.url("events:attachment", photo)}" width="800"' in html
    # By hand: half of 800 px for 2 m is 200 px/m; floor and horizon are 210 px apart: 1.05 m, 3 ft 5 3/8 in.
    assert 'data-scale="200.00"' in html
    assert "the camera was 3 ft 5" in html
    send(wickerlark, "quoting:room-photo-remove", quote.pk)
    assert "<image" not in room(wickerlark, quote)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"mark_x2": 25.5}, "too near to each other"),
        ({"horizon": 85}, "lies above the floor line"),
        ({"floor": 46}, "Check the mark and the floor line"),
        ({"mark_x1": 140}, "less than or equal to 100"),
        ({"mark_m": "0"}, "more than nothing"),
        ({"mark_m": "a door"}, "length"),
        ({"photo": 987654}, "valid choice"),
    ],
)
def test_marks_that_cannot_be_right_are_refused_at_their_field(
    wickerlark: House, quote: Quote, changes: dict[str, object], told: str
) -> None:
    photo = attach(wickerlark, quote)
    answer = send(wickerlark, "quoting:room-photo", quote.pk, data=marks(photo, **changes))
    assert answer.status_code == 422
    assert told in answer.content.decode()
    with wickerlark.enter():
        assert not RoomPhoto.objects.exists()


def test_a_photo_removed_from_the_event_leaves_the_drawn_room(wickerlark: House, quote: Quote) -> None:
    photo = attach(wickerlark, quote)
    send(wickerlark, "quoting:room-photo", quote.pk, data=marks(photo))
    send(wickerlark, "events:attachment-remove", photo)
    assert "<image" not in room(wickerlark, quote)


def test_a_photo_of_another_studio_is_no_choice(wickerlark: House, federkorn: House, quote: Quote) -> None:
    with federkorn.enter():
        theirs = scenes.quote(federkorn)
    photo = attach(federkorn, theirs)
    answer = send(wickerlark, "quoting:room-photo", quote.pk, data=marks(photo))
    assert answer.status_code == 422
    assert "hall.jpg" not in room(wickerlark, quote)


def test_an_agreed_quote_shows_its_room_and_moves_nothing(wickerlark: House, quote: Quote) -> None:
    first, _ = piece_ids(wickerlark, quote)
    assert "data-place" in room(wickerlark, quote)
    with wickerlark.enter():
        Quote.objects.filter(pk=quote.pk).update(state=QuoteState.AGREED)
    assert "data-place" not in room(wickerlark, quote)
    answer = place(wickerlark, quote, first, "3 ft", "0")
    assert answer.status_code == 409
    assert "was agreed" in answer.content.decode()


def test_a_camera_that_cannot_be_is_told_in_the_studio_s_units(wickerlark: House, quote: Quote) -> None:
    photo = attach(wickerlark, quote)
    answer = send(wickerlark, "quoting:room-photo", quote.pk, data=marks(photo, floor=46))
    # By hand: one per cent of 600 px is 6 px, at 200 px/m 0.03 m, 1.18 in.
    assert "the camera was 1¼ in above the floor" in answer.content.decode()


def test_a_piece_of_a_quote_that_costs_less_than_nothing_is_not_moved_and_says_why(
    wickerlark: House, quote: Quote
) -> None:
    first, _ = piece_ids(wickerlark, quote)
    with wickerlark.enter():
        Quote.objects.filter(pk=quote.pk).update(discount_amount=Decimal(99_999), discount_reason="a slip")
    answer = place(wickerlark, quote, first, "3 ft", "0")
    assert answer.status_code == 422
    assert "would fall below zero" in answer.content.decode()


def test_marks_moved_again_take_the_place_of_the_ones_before(wickerlark: House, quote: Quote) -> None:
    photo = attach(wickerlark, quote)
    for length in ("2 m", "4 m"):
        send(wickerlark, "quoting:room-photo", quote.pk, data=marks(photo, mark_m=length, floor=90))
    with wickerlark.enter():
        assert RoomPhoto.objects.get().mark_m == 4


def test_who_moved_what_is_told_in_a_sentence() -> None:
    assert (
        change_words("Marit", "moved Arch in the room", 6)
        == "Marit moved Arch in the room: this is version 6."
    )
    assert (
        change_words("Marit", "drew Arch on the table", 7)
        == "Marit drew Arch on the table: this is version 7."
    )
