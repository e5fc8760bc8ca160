"""A design seen whole, kept from a set piece, given out and brought in as a file."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from quoting.craft.design.design_file import load_design, read_design
from quoting.craft.takeoff.takeoff import take_off
from quoting.design_library import files, library
from quoting.models import DesignTemplate, Quote
from tests.people import House
from tests.quoting import scenes
from tests.quoting.quote_page.test_quote_page import MOST_QUERIES, counted


@pytest.fixture
def kept(wickerlark: House) -> DesignTemplate:
    with wickerlark.enter():
        return scenes.starter(wickerlark.studio)


@pytest.fixture
def quoted(wickerlark: House) -> Quote:
    with wickerlark.enter():
        return scenes.quote(wickerlark)


def sent(**changes: Any) -> str:
    """The nested arches as a file, changed at places."""
    data = json.loads((library.STARTERS / "garland-nested-arches.json").read_text())
    for path, value in changes.items():
        spot: Any = data
        *way, last = path.split("__")
        for step in way:
            spot = spot[int(step)] if step.isdigit() else spot[step]
        spot[last] = value
    return json.dumps(data)


def bring_in(house: House, text: str, role: str = "staff", **more: str) -> Any:
    return house.client(role).post(house.url("quoting:design-import"), {"text": text, **more})


def test_a_design_is_seen_whole(wickerlark: House, kept: DesignTemplate) -> None:
    html = wickerlark.client("staff").get(wickerlark.url("quoting:design", kept.pk)).content.decode()
    result = take_off(read_design(kept.design))
    assert html.index('class="set-piece"') < html.index("Seen from above"), "the picture comes first"
    assert html.count("<svg") > 2
    assert "style=" not in html
    for line in result.bill():
        assert f"<span>{line.label}</span><b>{line.quantity}</b>" in html
    shown = [int(count) for count in re.findall(r'recipe-count">(\d+) ×', html)]
    assert sum(shown) == sum(item.quads for item in result.garlands) + sum(
        item.filler_quads // 2 for item in result.garlands
    ), "every quad and every filler is made after one of the recipes"
    assert "Tie points" in html
    assert "Binder clip, Arch frame" in html
    assert "neighbors match about 1 in " in html
    assert "Longest piece" in html
    assert re.search(r"Description.*wide and .* high", html, re.DOTALL)


def test_both_pictures_keep_their_own_colours(wickerlark: House, kept: DesignTemplate) -> None:
    html = wickerlark.client().get(wickerlark.url("quoting:design", kept.pk)).content.decode()
    ids = re.findall(r'<(?:radialGradient|linearGradient|pattern|clipPath) id="([^"]+)"', html)
    assert len(ids) == len(set(ids))
    used = set(re.findall(r"url\(#([^)]+)\)", html))
    assert used <= set(ids)


def test_the_page_asks_the_database_little(wickerlark: House, kept: DesignTemplate) -> None:
    assert counted(wickerlark.client(), wickerlark.url("quoting:design", kept.pk)) <= MOST_QUERIES - 5


def test_a_set_piece_is_kept_as_a_design_of_the_studio_s_own(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        piece = quoted.pieces.get()
    client, address = (
        wickerlark.client("staff"),
        wickerlark.url("quoting:piece-save-as-design", quoted.pk, piece.pk),
    )
    assert 'class="set-piece"' in client.get(address).content.decode()
    answer = client.post(address, {"name": "  Reading   room arch "})
    with wickerlark.enter():
        made = DesignTemplate.objects.get(name="Reading room arch")
    assert answer["Location"] == wickerlark.url("quoting:design", made.pk)
    assert not made.is_starter
    assert made.design["garlands"] == piece.design["garlands"]
    assert "site" not in made.design, "the place it was sketched for stays behind"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("", "required"),
        ("organic garland over TWO nested arches", "Another design is called"),
        ("x" * 121, "at most 120"),
    ],
)
def test_a_name_that_will_not_do_is_told_at_the_field_and_stays_typed(
    name: str, words: str, wickerlark: House, quoted: Quote
) -> None:
    with wickerlark.enter():
        piece = quoted.pieces.get()
        before = DesignTemplate.objects.count()
    address = wickerlark.url("quoting:piece-save-as-design", quoted.pk, piece.pk)
    answer = wickerlark.client().post(address, {"name": name})
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert f'value="{name}"' in answer.content.decode() or not name
    with wickerlark.enter():
        assert DesignTemplate.objects.count() == before


def test_a_piece_is_kept_only_out_of_its_own_quote(wickerlark: House, quoted: Quote) -> None:
    with wickerlark.enter():
        other = scenes.quote(wickerlark, title="Bakery opening").pieces.get()
    address = wickerlark.url("quoting:piece-save-as-design", quoted.pk, other.pk)
    assert wickerlark.client().post(address, {"name": "Stray"}).status_code == 404


def test_a_downloaded_file_is_brought_in_again_as_it_was(wickerlark: House, kept: DesignTemplate) -> None:
    answer = wickerlark.client().get(wickerlark.url("quoting:design-file", kept.pk))
    assert answer["Content-Disposition"] == (
        'attachment; filename="organic-garland-over-two-nested-arches.json"'
    )
    assert files.read(answer.content) == load_design(library.STARTERS / "garland-nested-arches.json")


def test_a_file_is_checked_before_it_is_kept(wickerlark: House) -> None:
    text = sent(name="Sea wall")
    file = SimpleUploadedFile("sea-wall.json", text.encode(), "application/json")
    client, address = wickerlark.client("staff"), wickerlark.url("quoting:design-import")
    html = client.post(address, {"file": file}).content.decode()
    assert "checked, not saved yet" in html
    assert 'class="set-piece"' in html
    with wickerlark.enter():
        assert not DesignTemplate.objects.exists()
    answer = client.post(address, {"text": text, "name": "Sea wall", "keep": "1"})
    with wickerlark.enter():
        made = DesignTemplate.objects.get()
    assert answer["Location"] == wickerlark.url("quoting:design", made.pk)
    assert read_design(made.design) == read_design(json.loads(text)), "what was sent is what is kept"


def test_a_taken_name_is_told_beside_the_checked_design(wickerlark: House, kept: DesignTemplate) -> None:
    answer = bring_in(wickerlark, sent(), name=kept.name, keep="1")
    assert answer.status_code == 422
    html = answer.content.decode()
    assert "Another design is called" in html
    assert 'class="set-piece"' in html
    assert bring_in(wickerlark, sent(), name="Another one", keep="1").status_code == 302


FAULTS = [
    (sent(garlands__0__fullness=1.5), "garlands[0].fullness", "allowed is 0 to 0.97"),
    (sent(palette__0__share=0.9), "palette", "add up"),
    (sent(colour_of_the_sky="blue"), "colour_of_the_sky", "is not known here"),
    (sent(garlands__0__route__1__frame="attic"), "garlands[0].route[1]", "attic"),
    (sent(frames__0__width_m=0), "frames[0].width_m", "allowed is 0.02 to 12"),
    ("{", "line 1, column 2", "is not JSON"),
    ('{"version": 1, "version": 1}', "version", "stands twice"),
    (sent(loss=float("nan")), "the file", "NaN, which is no number"),
    ("[" * 100_000, "the file", "nested too deeply"),
    ("[]", "design", "expected an object"),
    ('{"version": ' + "9" * 5000 + "}", "the file", "a number too long to read"),
    ("x" * 600_001, "the file", "allowed are 1 to 600,000"),
]


@pytest.mark.parametrize(("text", "place", "words"), FAULTS, ids=[place for _, place, _ in FAULTS])
def test_faults_are_listed_by_their_place_and_nothing_is_kept(
    text: str, place: str, words: str, wickerlark: House
) -> None:
    answer = bring_in(wickerlark, text, keep="1")
    assert answer.status_code == 422
    html = answer.content.decode()
    rows = re.findall(r"<code>(.*?)</code></th>\s*<td>(.*?)</td>", html)
    assert any(place in where and words in what for where, what in rows), rows
    with wickerlark.enter():
        assert not DesignTemplate.objects.exists()


def test_every_fault_is_listed_at_once_and_what_was_typed_stays(wickerlark: House) -> None:
    text = sent(garlands__0__fullness=1.5, loss=0.9, seed=-1)
    html = bring_in(wickerlark, text).content.decode()
    assert "3 things to fix" in html
    assert "&quot;loss&quot;: 0.9" in html, "the file's text is in the box, to be mended there"


def test_a_file_in_another_encoding_is_told(wickerlark: House) -> None:
    file = SimpleUploadedFile(
        "a.json", sent(name="Blumenb\u00f6gen").replace("\\u00f6", "ö").encode("latin-1")
    )
    answer = wickerlark.client().post(wickerlark.url("quoting:design-import"), {"file": file})
    assert answer.status_code == 422
    assert "is no UTF-8 text" in answer.content.decode()


def test_more_balloons_than_a_page_works_out_are_refused(
    wickerlark: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(files, "MOST_BALLOONS_HERE", 100)
    html = bring_in(wickerlark, sent()).content.decode()
    assert "balloons; at most 100 are worked out at once" in html


def test_a_balloon_too_small_to_float_is_told_by_the_file(wickerlark: House) -> None:
    design = json.loads((library.STARTERS / "terrace-frame-bouquets.json").read_text())
    design["bouquets"][0] |= {"size_in": 11, "sized_m": 0.21}
    answer = bring_in(wickerlark, json.dumps(design))
    assert answer.status_code == 422
    assert "cannot be built" in answer.content.decode()


def test_nothing_sent_is_told_at_the_field(wickerlark: House) -> None:
    answer = bring_in(wickerlark, "")
    assert answer.status_code == 422
    assert "Choose a file" in answer.content.decode()


def test_crew_see_no_designs_and_strangers_find_none(
    wickerlark: House, federkorn: House, kept: DesignTemplate
) -> None:
    names = ("design", "design-file", "design-change")
    for name in names:
        assert wickerlark.client("crew").get(wickerlark.url(f"quoting:{name}", kept.pk)).status_code == 403
        assert federkorn.client().get(federkorn.url(f"quoting:{name}", kept.pk)).status_code == 404
