"""A set piece to turn: the page, and a model that has what the quote counts."""

from __future__ import annotations

import io
import re
from datetime import timedelta

import msgspec
import pytest
import time_machine
import trimesh
from django.test import Client
from django.utils import timezone

from quoting.models import Quote, SetPiece
from quoting.turning import in_room
from tests.people import House
from tests.quoting import scenes


@pytest.fixture
def piece(wickerlark: House) -> SetPiece:
    with wickerlark.enter():
        quote: Quote = scenes.quote(wickerlark)
        found: SetPiece = quote.pieces.get()
        return found


def test_the_model_has_the_balloons_that_the_quote_counts(wickerlark: House, piece: SetPiece) -> None:
    answer = wickerlark.client("staff").get(wickerlark.url("quoting:piece-model", piece.quote_id, piece.pk))
    assert answer["Content-Type"] == "model/gltf-binary"
    model = trimesh.load(io.BytesIO(answer.content), file_type="glb")
    assert isinstance(model, trimesh.Scene)
    balloons = [node for node in model.graph.nodes_geometry if " in" in str(node)]
    with wickerlark.enter():
        assert len(balloons) == SetPiece.objects.get(pk=piece.pk).takeoff.balloons


def test_the_page_lists_the_balloons_and_loads_nothing_before_it_is_asked(
    wickerlark: House, piece: SetPiece
) -> None:
    answer = wickerlark.client("staff").get(wickerlark.url("quoting:piece-turn", piece.quote_id, piece.pk))
    html = answer.content.decode()
    assert 'class="set-piece"' in html, "the picture stands until the model is there"
    assert "<script" in html
    assert 'src="/static/quoting/vendor/model-viewer' not in html
    for one in piece.takeoff.counts:
        assert f"<b>{one.placed}</b>" in html


def test_a_piece_of_another_studio_is_not_found(wickerlark: House, federkorn: House, piece: SetPiece) -> None:
    for name in ("quoting:piece-turn", "quoting:piece-model"):
        assert federkorn.client().get(federkorn.url(name, piece.quote_id, piece.pk)).status_code == 404


def test_a_quote_that_counts_by_earlier_rules_says_that_the_model_shows_others(
    wickerlark: House, piece: SetPiece
) -> None:
    address = wickerlark.url("quoting:piece-turn", piece.quote_id, piece.pk)
    assert "earlier rules" not in wickerlark.client("staff").get(address).content.decode()
    with wickerlark.enter():
        kept = SetPiece.objects.get(pk=piece.pk)
        kept.takeoff = msgspec.structs.replace(kept.takeoff, balloons=kept.takeoff.balloons + 3)
        kept.save()
    told = wickerlark.client("staff").get(address).content.decode()
    assert f"built today, with {piece.takeoff.balloons} balloons." in " ".join(told.split())


def test_a_quote_s_piece_is_given_to_a_phone_s_own_viewer_for_an_hour(
    wickerlark: House, federkorn: House, piece: SetPiece
) -> None:
    address = wickerlark.url("quoting:piece-turn", piece.quote_id, piece.pk)
    html = wickerlark.client("staff").get(address).content.decode()
    found = re.findall(r'data-(?:glb|usdz)="([^"]+)"', html)
    viewer = Client()
    assert [viewer.get(each)["Content-Type"] for each in found] == ["model/gltf-binary", "model/vnd.usdz+zip"]
    with time_machine.travel(timezone.now() + timedelta(minutes=61)):
        assert [viewer.get(each).status_code for each in found] == [410, 410]
    theirs = in_room.addresses("room-piece", federkorn.studio.pk, piece.quote_id, piece.pk)
    assert viewer.get(theirs.glb).status_code == 404
