"""A studio says what it has and gets items with usual costs, once; each cost stays marked until it is checked."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.takeoff.takeoff import take_off
from stock.catalogue import frame_outlines
from stock.catalogue import items as catalogue
from stock.first_shelf import setting_up, usual
from stock.first_shelf.setting_up import Owned
from stock.ledger import movements
from stock.models import Colour, Item, Kind
from studio.models import Studio
from tests.people import House

pytestmark = pytest.mark.django_db

SMALL = Owned(
    things={"frame-arch-7ft": 2, "clip-binder": 60, "fishing-line-m": 0, "ladder-6ft": 1},
    colours=("oat", "sage"),
    sizes=(5, 11),
    bags=2,
    cover_colours=("sage",),
)


def test_what_is_ticked_is_added_with_its_cost_and_count(wickerlark: House) -> None:
    with wickerlark.enter():
        done = setting_up.set_up(SMALL)
        items = {item.code: item for item in Item.objects.all()}
        there = movements.balances([item.pk for item in items.values()])
    # By hand: four things, one cover, two colors in two sizes, two colors of 260s.
    assert (done.added, done.known) == (4 + 1 + 4 + 2, 0)
    assert set(items) == {
        "frame-arch-7ft", "clip-binder", "fishing-line-m", "ladder-6ft", "cover-arch-7ft-sage",
        "latex-5-oat", "latex-11-oat", "latex-5-sage", "latex-11-sage", "latex-260-oat", "latex-260-sage",
    }  # fmt: skip
    assert all(item.cost_is_usual for item in items.values())
    assert items["frame-arch-7ft"].name == "Arch frame 7 ft"
    assert items["cover-arch-7ft-sage"].fits_frame_id == items["frame-arch-7ft"].pk
    assert items["fishing-line-m"].bag_price == Decimal("6.50")
    assert there.get(items["fishing-line-m"].pk, 0) == 0
    assert there[items["clip-binder"].pk] == 60
    assert there[items["latex-11-sage"].pk] == 200


def test_said_twice_nothing_is_added_or_changed_again(wickerlark: House) -> None:
    with wickerlark.enter():
        setting_up.set_up(SMALL)
        Item.objects.filter(code="clip-binder").update(unit_cost=Decimal("0.60"))
        again = setting_up.set_up(SMALL)
        assert (again.added, again.known) == (0, 11)
        clip = Item.objects.get(code="clip-binder")
        assert clip.unit_cost == Decimal("0.60")
        assert movements.balances([clip.pk]) == {clip.pk: 60}


def test_nothing_ticked_adds_nothing(wickerlark: House) -> None:
    with wickerlark.enter():
        with pytest.raises(ValidationError, match="Tick what you have"):
            setting_up.set_up(Owned(colours=("sage",), cover_colours=("sage",)))
        assert not Item.objects.exists()
        assert not Colour.objects.exists()


def test_every_usual_thing_is_one_that_the_catalogue_takes(wickerlark: House) -> None:
    with wickerlark.enter():
        everything = Owned(
            things={thing.code: 1 for thing in usual.things()},
            colours=tuple(each.code for each in usual.COLOURS),
            sizes=tuple(each.size_in for each in usual.SIZES),
            bags=1,
            cover_colours=("white",),
        )
        setting_up.set_up(everything)
        for item in Item.objects.all():
            item.full_clean(exclude=["studio"])
            assert item.unit_cost or item.bag_price, item.code
            if item.kind == Kind.FRAME and item.outline:
                assert item.outline == frame_outlines.validate_outline(item.outline, kind=Kind.FRAME)
        assert {each.size_in for each in usual.SIZES} == set(catalogue.USUAL_SIZES_IN)


def test_the_usual_things_are_what_the_starters_ask_for() -> None:
    """What a starter needs besides latex, frames, covers and signs, the list of usual things has."""
    asked = {
        line.code
        for path in sorted(STARTERS.glob("*.json"))
        for line in take_off(load_design(path)).bill()
        if not line.code.startswith(
            ("latex-", "frame-", "cover-", "sign-", "panel-", "pole-", "table-", "cloth-")
        )
    }
    listed = {thing.code for thing in usual.things()}
    assert asked - listed == {"venue-pillar"}


def test_a_currency_without_cents_has_costs_a_hundred_times_as_high() -> None:
    assert usual.in_currency(Decimal("4.20"), Studio(currency="EUR")) == Decimal("4.20")
    assert usual.in_currency(Decimal("4.20"), Studio(currency="JPY")) == Decimal(420)


def test_a_metric_studio_reads_metres(federkorn: House) -> None:
    with federkorn.enter():
        setting_up.set_up(Owned(things={"frame-arch-7ft": 1}))
        assert Item.objects.get().name.startswith("Arch frame 2")
        assert "ft" not in Item.objects.get().name


def test_a_frame_that_is_yet_to_be_bought_has_no_cover_on_the_shelf(wickerlark: House) -> None:
    with wickerlark.enter():
        setting_up.set_up(Owned(things={"frame-arch-7ft": 0, "frame-arch-6ft": 3}, cover_colours=("sage",)))
        covers = {item.code: item.pk for item in Item.objects.filter(kind=Kind.COVER)}
        there = movements.balances(covers.values())
    assert {code: there.get(pk, 0) for code, pk in covers.items()} == {
        "cover-arch-7ft-sage": 0,
        "cover-arch-6ft-sage": 1,
    }


def test_a_cost_is_marked_until_somebody_checks_it(wickerlark: House) -> None:
    with wickerlark.enter():
        setting_up.set_up(SMALL)
        clip, line = (Item.objects.get(code=code) for code in ("clip-binder", "fishing-line-m"))
        assert setting_up.check_costs({clip.pk: Decimal("0.50"), line.pk: Decimal(7)}) == 2
        clip.refresh_from_db()
        line.refresh_from_db()
        assert (clip.unit_cost, clip.cost_is_usual) == (Decimal("0.50"), False)
        assert (line.bag_price, line.cost_is_usual) == (Decimal(7), False)
        assert {item.code for item in setting_up.unchecked_costs()} == {
            item.code for item in Item.objects.filter(cost_is_usual=True)
        }
        assert setting_up.check_costs({clip.pk: Decimal(9)}) == 0, "what was checked is left alone"
        ladder = Item.objects.get(code="ladder-6ft")
        catalogue.change_item(ladder, unit_cost=Decimal(80))
        assert not ladder.cost_is_usual


def test_crew_set_up_nothing_and_staff_check_no_costs(wickerlark: House) -> None:
    with wickerlark.enter("crew"), pytest.raises(PermissionDenied):
        setting_up.set_up(SMALL)
    with wickerlark.enter("staff"), pytest.raises(PermissionDenied):
        setting_up.check_costs({})
