"""The command line judges a site as the quote page does: one venue, every starter design."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest

from events.models import Venue
from events.models.venue import Setting
from quoting.craft.sheets.command import run
from quoting.craft.sheets.stored import write_takeoff
from quoting.set_pieces import site
from quoting.set_pieces.worked import summed_up, taken_off
from studio.models import Studio
from studio.trade.cautions import CHOKING_EU, CHOKING_US
from tests.quoting.craft.starter_designs import FOLDER, NAMES, starter

TERRACE = Venue(
    studio_id=1,
    setting=Setting.OUTDOOR, altitude_m=1600, temperature_c=Decimal(31), carry_m=Decimal(80), stairs=12,
    ceiling_m=Decimal("4.2"), door_width_m=Decimal("0.8"), door_height_m=Decimal("1.9"),
)  # fmt: skip
HALL = Venue(studio_id=1, setting=Setting.INDOOR, altitude_m=20, carry_m=Decimal(15))
FACTS = {
    "terrace": (
        TERRACE,
        (
            "outdoors=true altitude_m=1600 temperature_c=31 carry_m=80 steps=12 ceiling_m=4.2 door_width_m=0.8 "
            "door_height_m=1.9 prep_altitude_m=300 prep_temperature_c=20 lift=false"
        ),
    ),
    "hall": (
        HALL,
        "outdoors=false altitude_m=20 temperature_c=20 carry_m=15 steps=0 prep_altitude_m=300 prep_temperature_c=20",
    ),
}


def command(name: str, facts: str, capsys: pytest.CaptureFixture[str], *more: str) -> dict[str, Any]:
    """What the command answers for a starter at a site."""
    given = [word for fact in facts.split() for word in ("--site", fact)]
    assert run([str(FOLDER / f"{name}.json"), "--json", *given, *more]) == 0
    answer: dict[str, Any] = json.loads(capsys.readouterr().out)
    return answer


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("place", FACTS)
def test_bill_work_and_site_are_those_of_the_page(
    name: str, place: str, capsys: pytest.CaptureFixture[str]
) -> None:
    venue, facts = FACTS[place]
    design = site.first_placed(starter(name), venue, Studio(altitude_m=300))
    page: dict[str, Any] = write_takeoff(summed_up(design))
    answer = command(name, facts, capsys)
    assert answer["prep"] == page["prep"]
    assert bool(answer["prep"]["wind"]) == (place == "terrace" and bool(design.frames))
    for key, fields in (("bill", ("code", "quantity", "label", "part")), ("tasks", ("task", "phase"))):
        pairs = zip(answer[key], page[key], strict=True)
        assert all(here[field] == there[field] for here, there in pairs for field in fields)
    minutes = [[task["minutes"] for task in tasks] for tasks in (answer["tasks"], page["tasks"])]
    assert minutes[0] == pytest.approx(minutes[1], abs=0.01)


def test_what_the_file_says_of_the_open_air_is_judged_by_the_usual_gust(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A file may say that it is outdoors and no gust: the page never leaves such a piece unjudged."""
    answer = command("garland-nested-arches", "outdoors=true gust_m_s=0", capsys)
    assert answer["prep"]["wind"]["gust_m_s"] == 12.0
    assert answer["prep"]["wind"]["against_tipping_kg"] > 0


@pytest.mark.parametrize("name", ["classic-arch", "terrace-frame-bouquets"])
def test_cautions_are_worded_by_the_law_that_is_named(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    american, european = command(name, "", capsys), command(name, "", capsys, "--european")
    assert CHOKING_US.text in american["cautions"]
    assert CHOKING_EU.text in european["cautions"]
    assert CHOKING_US.text not in european["cautions"]


def test_the_text_says_so_too(capsys: pytest.CaptureFixture[str]) -> None:
    path = str(FOLDER / "garland-nested-arches.json")
    assert run([path, "--site", "outdoors=true", "--european"]) == 0
    printed = capsys.readouterr().out
    assert "Watch the wind from 7.2 m/s, take down at 9.6 m/s of the 12.0 m/s" in printed
    assert CHOKING_EU.text in printed


@pytest.mark.parametrize(
    ("fact", "words"),
    [
        ("altitude_m=9000", "site.altitude_m: is 9000; allowed is -400 to 4500"),
        ("altitude_m=high", "site.altitude_m: is 'high'"),
        ("outdoors=1", "site.outdoors: is '1'"),
        ("weather=rain", "site.weather:"),
        ("steps=1.5", "site.steps: is '1.5'"),
        ("altitude_m=nan", "site.altitude_m: is nan"),
    ],
)
def test_a_wrong_fact_is_told_at_its_place_and_ends_with_one(
    fact: str, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([str(FOLDER / "classic-arch.json"), "--site", fact]) == 1
    assert words in capsys.readouterr().err


def test_warmth_and_elevation_of_the_file_give_way(capsys: pytest.CaptureFixture[str]) -> None:
    high = command("classic-arch", "altitude_m=2000", capsys)["prep"]
    low = taken_off(starter("classic-arch"))
    assert high["rings"][0]["ring_m"][0] < 2 * low.balloons.radius.min()
