"""One piece, one figure: quote page, designs page, agreed event, plan, lists and papers say the same."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from msgspec import structs

from events.day_plan import van_load
from events.day_plan.work_plan import work_plan
from events.loadout.load_list import add_standard_kit
from events.models import Event, ShiftKind, Skill
from events.schedule import conflicts, run_sheet
from quoting.build_sheet import presenter as build_words
from quoting.craft.design.design_file import read_design
from quoting.craft.site.prep import prep_of
from quoting.craft.takeoff.takeoff import take_off
from quoting.models import Quote
from quoting.offers import freezing, offering
from quoting.quote_page.site_presenter import site_words
from quoting.quotes import sheet
from quoting.set_pieces import measures
from stock.models import Item, Kind
from studio.people import taxes
from studio.trade.cautions import LADDER
from studio.trade.working_height import LADDER_ABOVE_M, needs_ladder
from tests.people import House
from tests.quoting import scenes
from tests.quoting.invoice_scenes import say_yes

FRAME_KG = Decimal("7.5")


@pytest.fixture
def sold(wickerlark: House) -> Quote:
    """A quote of one set piece that its client has agreed to, on a shelf that knows everything on its bill."""
    with wickerlark.enter():
        scenes.stocked()
        taxes.add_tax(name="Sales tax", percent=Decimal("6.25"), is_default=True)
        Item.objects.filter(kind=Kind.FRAME).update(weight_kg=FRAME_KG)
        offer = offering.offer(scenes.quote(wickerlark)).offer
    return say_yes(wickerlark, offer).quote


def test_the_van_takes_one_volume_on_every_page(wickerlark: House, sold: Quote) -> None:
    with wickerlark.enter():
        piece = sold.pieces.get()
        words = site_words(piece, sold.event, "metric")
        prep = prep_of(take_off(read_design(piece.design)))
        planned = van_load.loads([sold.event.pk])[sold.event.pk]
    assert prep.load.volume_m3 == pytest.approx(planned.volume_m3)
    assert prep.load.longest_m == pytest.approx(planned.longest_m)
    facts = dict(next(card for card in words.cards if card.title == "In the van").facts)
    assert facts["Packed"] == measures.volume(planned.volume_m3, "metric")
    assert facts["Longest piece"] == measures.length(planned.longest_m, "metric")


def test_inflating_takes_as_long_beside_the_rings_as_in_the_plan(wickerlark: House, sold: Quote) -> None:
    with wickerlark.enter():
        piece = sold.pieces.get()
        prep = prep_of(take_off(read_design(piece.design)))
        quoted = sheet.read_sheet(sheet.find_quote(sold.pk), wickerlark.studio).minutes["Inflate and size"]
        agreed = sold.event.work.get(task="Inflate and size").minutes
        step = next(
            step for step in work_plan(sold.event, wickerlark.studio).steps if step.name == "Inflate and size"
        )
    assert prep.inflating_minutes == pytest.approx(quoted, abs=0.01)
    assert float(agreed) == pytest.approx(quoted, abs=0.01)
    on_the_clock = (step.ends_at - step.starts_at) / timedelta(minutes=1) * step.people
    assert on_the_clock == pytest.approx(quoted, abs=0.1)
    assert build_words.air_words(prep).startswith(measures.minutes(quoted * 60) + " at one nozzle")


def test_carrying_and_washing_take_the_same_minutes_on_the_quote_in_the_plan_and_on_paper(
    wickerlark: House, sold: Quote
) -> None:
    with wickerlark.enter():
        stored = {task.task: task.minutes for task in sold.pieces.get().takeoff.tasks}
        quoted = sheet.read_sheet(sheet.find_quote(sold.pk), wickerlark.studio).minutes
        agreed = {row.task: float(row.minutes) for row in sold.event.work.all()}
        plan = work_plan(sold.event, wickerlark.studio)
        paper = run_sheet.find_run_sheets([sold.event], wickerlark.studio)[sold.event.pk]
    for task in ("Carry in", "Carry out", "Wash covers"):
        assert stored[task] == pytest.approx(quoted[task], abs=0.01) == pytest.approx(agreed[task], abs=0.01)
    for step in plan.steps:
        if step.name in ("Carry in", "Carry out"):
            spent = (step.ends_at - step.starts_at) / timedelta(minutes=1) * step.people
            assert spent == pytest.approx(agreed[step.name], abs=0.1)
    assert plan.washing_minutes == agreed["Wash covers"] == 40
    (washing,) = [line for line in paper.lines if line.what == "Wash and dry covers"]
    assert washing.detail == "40 min of work for one person."


@pytest.mark.parametrize("above_m", [Decimal("-0.1"), Decimal("0.1")])
def test_a_ladder_is_asked_for_loaded_and_manned_from_one_height(
    wickerlark: House, sold: Quote, above_m: Decimal
) -> None:
    height = Decimal(str(LADDER_ABOVE_M)) + above_m
    with wickerlark.enter():
        Event.objects.filter(pk=sold.event.pk).update(built_height_m=height)
        event = Event.objects.get(pk=sold.event.pk)
        piece = sold.pieces.get()
        piece.takeoff = structs.replace(piece.takeoff, height_m=float(height))
        piece.save()
        offered = LADDER.text in freezing.frozen_copy(sheet.find_quote(sold.pk)).cautions
        event.load_out.filter(code="along-ladder").update(dropped=True)  # it was agreed at another height
        add_standard_kit(event)
        loaded = event.load_out.filter(code="along-ladder", dropped=False).exists()
        skilled = Skill.LADDER in conflicts.needed_skills(event.working_height_m, ShiftKind.INSTALL)
        warned = LADDER.text in run_sheet.find_run_sheets([event], wickerlark.studio)[event.pk].cautions
    assert {offered, loaded, skilled, warned} == {needs_ladder(height)} == {above_m > 0}


def test_frames_weigh_on_the_quote_what_the_catalogue_says_of_those_on_the_bill(
    wickerlark: House, sold: Quote
) -> None:
    with wickerlark.enter():
        frames = Item.objects.filter(kind=Kind.FRAME).values_list("code", flat=True)
        count = sum(row.quantity for row in sold.event.bill.filter(code__in=list(frames)))
        words = site_words(sold.pieces.get(), sold.event, "metric")
    facts = dict(next(card for card in words.cards if card.title == "In the van").facts)
    assert count >= 1
    assert facts["Frames and sign"] == measures.weight(float(count * FRAME_KG), "metric")
