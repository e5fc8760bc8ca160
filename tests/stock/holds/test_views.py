"""The page of a hold: stand-ins by likeness, and a swap."""

from __future__ import annotations

import re

import pytest

from stock.catalogue import items
from stock.catalogue.items import Material
from stock.holds import holds, substitutes
from stock.holds.availability import availability
from stock.ledger import movements
from stock.models import HoldLine, Kind
from tests.stock.conftest import INK_5, OAT_11, RING, Stocked
from tests.stock.pages import text


@pytest.fixture
def short(stocked: Stocked) -> tuple[Stocked, int]:
    """A job lacks ink; there are navy rounds (very near), brick ones (far off) and too few slate ones."""
    with stocked.house.enter():
        for name, hex_, there in (
            ("Navy", "#2A3D4E", 90),
            ("Brick", "#A4553F", 90),
            ("Slate", "#2C4052", 10),
        ):
            colour = items.add_colour(name=name, hex=hex_)
            item = items.add_item(kind=Kind.LATEX, colour=colour, size_in=5)
            movements.open_with([Material(item.code, there)])
        made = holds.hold(
            label="Fair",
            window=stocked.days(9, 10),
            needs=[Material(INK_5, 40), Material(RING, 1)],
            key="k",
        )
    return stocked, made.hold_id


def test_the_nearest_colour_of_which_enough_is_free_stands_in(short: tuple[Stocked, int]) -> None:
    stocked, hold_id = short
    with stocked.house.enter("crew"):
        window = stocked.days(9, 10)
        lines = availability([Material(INK_5, 40)], window, besides=hold_id)
        (found,) = substitutes.find_substitutes(lines, window, besides=hold_id).values()
    assert [(each.item.code, each.free) for each in found] == [("latex-5-navy", 90)]
    # coloraide and colour-science give CIEDE2000 below 2 for two dark blues a few steps of sRGB apart; the words
    # are ours.
    assert found[0].difference < 2
    assert found[0].words == "almost identical"


def test_a_frame_of_the_same_shape_and_about_the_size_stands_in(stocked: Stocked) -> None:
    with stocked.house.enter():
        for name, shape, width in (
            ("Ring 6½ ft", "ring", 1.95),
            ("Ring 8 ft", "ring", 2.44),
            ("Arch", "arch-top", 1.83),
        ):
            item = items.add_item(
                kind=Kind.FRAME, name=name, outline={"shape": shape, "width_m": width, "height_m": width}
            )
            movements.open_with([Material(item.code, 3)])
        window = stocked.days(3, 4)
        lines = availability([Material(RING, 3)], window)
        found = substitutes.find_substitutes(lines, window)[RING]
    assert [each.item.name for each in found] == ["Ring 6½ ft"]
    assert found[0].difference == pytest.approx(1.95 / 1.83 - 1)


def test_a_colour_is_swapped_once_after_a_question(short: tuple[Stocked, int]) -> None:
    stocked, hold_id = short
    client = stocked.house.client("staff")
    page = text(client.get(stocked.house.url("stock:hold", hold_id)))
    assert "40 short" in page
    key = re.search(r'name="key" value="([^"]+)"', page)
    assert key is not None
    data = {"key": key[1], "out": INK_5, "into": "latex-5-navy"}
    asked = client.post(stocked.house.url("stock:hold-swap", hold_id), data)
    assert "40 × Navy 5 in instead of 40 × Ink 5 in" in " ".join(asked.content.decode().split())
    with stocked.house.enter():
        assert HoldLine.objects.filter(hold_id=hold_id, item__code=INK_5).exists(), "only asked"
    data["sure"] = "on"
    for _ in range(2):
        assert client.post(stocked.house.url("stock:hold-swap", hold_id), data).status_code == 302
    with stocked.house.enter():
        kept = dict(HoldLine.objects.filter(hold_id=hold_id).values_list("item__code", "quantity"))
    assert kept == {"latex-5-navy": 40, RING: 1}
    assert (
        "short"
        not in text(client.get(stocked.house.url("stock:hold", hold_id))).split("Items on hold")[1][:800]
    )


@pytest.mark.parametrize(("out", "into"), [(INK_5, "nothing-such"), ("nothing-such", OAT_11), (INK_5, INK_5)])
def test_a_swap_that_makes_no_sense_changes_nothing(short: tuple[Stocked, int], out: str, into: str) -> None:
    stocked, hold_id = short
    answer = stocked.house.client().post(
        stocked.house.url("stock:hold-swap", hold_id), {"key": "x", "out": out, "into": into}
    )
    assert answer.status_code == 422
    with stocked.house.enter():
        assert set(HoldLine.objects.values_list("item__code", flat=True)) == {INK_5, RING}


def test_crew_see_a_hold_and_swap_nothing(short: tuple[Stocked, int]) -> None:
    stocked, hold_id = short
    client = stocked.house.client("crew")
    page = text(client.get(stocked.house.url("stock:hold", hold_id)))
    assert "40 short" in page
    assert "Substitutes:" not in page
    assert client.post(stocked.house.url("stock:hold-swap", hold_id), {}).status_code == 403


def test_an_unknown_hold_is_not_found(stocked: Stocked) -> None:
    assert stocked.house.client().get(stocked.house.url("stock:hold", 999)).status_code == 404


def test_the_page_of_a_hold_names_no_shortage_of_a_later_one(stocked: Stocked) -> None:
    with stocked.house.enter():
        first = holds.hold(label="Fair", window=stocked.days(9, 10), needs=[Material(OAT_11, 150)], key="one")
        later = holds.hold(
            label="Gala", window=stocked.days(12, 13), needs=[Material(OAT_11, 150)], key="two"
        )
    client = stocked.house.client()
    assert "short" not in text(client.get(stocked.house.url("stock:hold", first.hold_id)))
    assert "100 short" in text(client.get(stocked.house.url("stock:hold", later.hold_id)))
