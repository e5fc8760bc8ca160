"""The look: contrast, the content policy, forms, the thread, rounds and spelled dates."""

from __future__ import annotations

import gzip
import math
import re
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from django import forms
from django.contrib.staticfiles import finders
from django.template import Context, Template
from django.test import RequestFactory

from studio.templatetags import studio_look
from studio.trade.colour import contrast
from studio.ui import balloon_svg, progress

ROOT = Path(__file__).parents[3]
SHEETS = ROOT / "studio/static/studio/css"
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
STAGES = [("enquiry", "enquiry"), ("sketch", "sketch"), ("offered", "offered"), ("agreed", "agreed")]


# ---- Colour ----


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#FFFFFF", 21.0),
        ("#767676", "#FFFFFF", 4.5422),
        ("#777777", "#FFFFFF", 4.4781),
        ("#FFFF00", "#FFFFFF", 1.0738),
    ],
)
def test_contrast_agrees_with_an_independent_calculator(one: str, other: str, ratio: float) -> None:
    """Ratios by coloraide 8.13.1 from the definition in WCAG 2.2; within half of their last digit."""
    assert contrast(one, other) == pytest.approx(ratio, abs=5e-5)


def tokens(scheme: str) -> dict[str, str]:
    sheet = (SHEETS / "look.css").read_text()
    start = sheet.index(':root[data-theme="dark"] {' if scheme == "dark" else ":root {")
    return dict(re.findall(r"--([a-z-]+): (#[0-9A-F]{6})", sheet[start : sheet.index("\n}", start)]))


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_text_colour_meets_aa_on_every_ground(scheme: str) -> None:
    """WCAG 2.2, 1.4.3: at least 4.5 to 1; edges of controls by 1.4.11 at least 3 to 1."""
    colour = tokens(scheme)
    for ground in ("paper", "raised", "tint"):
        for text in ("ink", "quiet", "strong", "strong-deep", "warm", "good", "short"):
            assert contrast(colour[text], colour[ground]) >= 4.5, (text, ground)
    for ground in ("paper", "raised"):
        assert contrast(colour["edge"], colour[ground]) >= 3
    for ground in ("strong", "strong-deep"):
        assert contrast(colour["on-strong"], colour[ground]) >= 4.5


def test_the_system_and_the_hand_switch_give_the_same_night() -> None:
    sheet = (SHEETS / "look.css").read_text()
    by_system = re.search(r':root:not\(\[data-theme="light"\]\) \{(.*?)\n  \}', sheet, re.DOTALL)
    by_hand = re.search(r':root\[data-theme="dark"\] \{(.*?)\n\}', sheet, re.DOTALL)
    assert by_system
    assert by_hand
    assert by_system[1].split() == by_hand[1].split()


@pytest.mark.parametrize("colour", ["#F0E8DA", "#A3B6C6", "#808080", "#2E4858", "#A6482F", "#F6F3EE"])
def test_the_number_on_a_round_can_be_read(colour: str) -> None:
    """Its size makes it large text: 3 to 1 (WCAG 2.2, 1.4.3)."""
    assert contrast(balloon_svg.text_colour(colour), colour) >= 3


# ---- Rounds ----


@pytest.mark.parametrize(("second", "apart"), [(20.0, 50.0), (30.0, 56.0), (46.0, 46.0), (60.0, 40.0)])
def test_lens_area_agrees_with_counting_points(second: float, apart: float) -> None:
    """Counted on a grid of a tenth; the count is off by less than the rim's length times the pitch."""
    first, pitch = balloon_svg.RADIUS, 0.1
    steps = int(2 * first / pitch)
    axis = [-first + (step + 0.5) * pitch for step in range(steps)]
    inside = sum(
        1 for x in axis for y in axis if x * x + y * y <= first**2 and (x - apart) ** 2 + y * y <= second**2
    )
    rim = 2 * math.pi * (first + second)
    assert balloon_svg.lens_area(first, second, apart) == pytest.approx(inside * pitch**2, abs=rim * pitch)


def test_circles_apart_share_nothing_and_one_inside_shares_all_of_itself() -> None:
    assert balloon_svg.lens_area(46, 10, 60) == 0
    assert balloon_svg.lens_area(46, 10, 20) == pytest.approx(math.pi * 100)


@pytest.mark.parametrize(
    ("free", "held", "share"), [(90, 10, 0.1), (75, 25, 0.25), (1, 99, balloon_svg.LARGEST_BITE)]
)
def test_the_bite_takes_the_share_that_is_held(free: int, held: int, share: float) -> None:
    radii = re.findall(r"A([\d.]+) ", balloon_svg.draw_round("#A3B6C6", free, held).path)
    apart = math.hypot(balloon_svg.RADIUS * 0.86, balloon_svg.RADIUS * 0.86)
    bite = balloon_svg.lens_area(balloon_svg.RADIUS, float(radii[1]), apart)
    assert bite / (math.pi * balloon_svg.RADIUS**2) == pytest.approx(share, abs=0.002)


def test_nothing_held_leaves_the_round_whole_and_nothing_free_leaves_only_the_ring() -> None:
    assert "A" not in balloon_svg.draw_round("#A3B6C6", 12, 0).path
    assert balloon_svg.draw_round("#A3B6C6", 0, 14).path == ""


# ---- The thread ----


def test_beads_before_the_present_stage_are_done_and_those_after_are_to_come() -> None:
    beads = progress.thread_of(STAGES, now="offered", dates={"offered": date(2026, 12, 1)})
    assert [bead.state for bead in beads] == ["done", "done", "now", "todo"]
    assert [bead.when for bead in beads] == [None, None, date(2026, 12, 1), None]


def test_an_unknown_stage_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match="'folded' is no stage; the stages are enquiry, sketch"):
        progress.thread_of(STAGES, now="folded")


def test_the_string_runs_through_the_middle_of_every_bead() -> None:
    path = progress.string_path(4, width=112, height=14)
    for x, y in progress.bead_places(4, width=112, height=14):
        assert f"{x:.2f} {y:.2f}" in path


def test_the_thread_tells_a_screen_reader_the_stage() -> None:
    beads = progress.thread_of(STAGES, now="sketch")
    whole = Template("{% load studio_look %}{% thread beads %}").render(Context({"beads": beads}))
    assert whole.count('aria-current="step"') == 1
    assert whole.count(", done") == 1
    assert whole.count(", to come") == 2
    assert 'aria-label="stage: sketch"' in studio_look.thread_thin(beads)


# ---- Dates and devices ----


@pytest.mark.parametrize(
    ("moment", "slot"),
    [
        (datetime(2026, 12, 6, 23, 59, tzinfo=UTC), 0),
        (datetime(2026, 12, 7, 0, 0, tzinfo=UTC), 0),
        (datetime(2026, 12, 7, 3, 0, tzinfo=UTC), 1),
        (datetime(2026, 12, 12, 12, 40, tzinfo=UTC), 44),
        (datetime(2026, 12, 13, 23, 59, tzinfo=UTC), 55),
        (datetime(2026, 12, 20, 8, 0, tzinfo=UTC), 56),
    ],
)
def test_week_slots_of_three_hours_stay_inside_the_week(moment: datetime, slot: int) -> None:
    assert studio_look.week_slot(moment, date(2026, 12, 7)) == slot


def test_every_slot_of_the_week_has_its_rule() -> None:
    sheet = (SHEETS / "pieces.css").read_text()
    for slot in range(studio_look.WEEK_SLOTS):
        assert f'[data-from="{slot}"] {{ grid-column-start: {slot + 1}; }}' in sheet
        assert f'[data-to="{slot + 1}"] {{ grid-column-end: {slot + 2}; }}' in sheet


@pytest.mark.parametrize(
    ("user_agent", "said"),
    [
        ("Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0", "Firefox on Linux"),
        (
            "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0) AppleWebKit/605.1.15 Version/18.0 Safari/604.1",
            "Safari on an iPhone",
        ),
        ("curl/8.5", "A browser on an unknown device"),
    ],
)
def test_devices_are_named_as_people_name_them(user_agent: str, said: str) -> None:
    assert studio_look.device(user_agent) == said


# ---- The content policy, kept by the templates themselves ----

FORBIDDEN = (
    (re.compile(r"\sstyle\s*=", re.IGNORECASE), "a style attribute"),
    (re.compile(r"<style\b", re.IGNORECASE), "a style element"),
    (re.compile(r"<script(?![^>]*\bsrc=)(?![^>]*application/json)", re.IGNORECASE), "an inline script"),
    (re.compile(r"\shx-on", re.IGNORECASE), "an inline handler"),
    (re.compile(r"\son[a-z]+\s*=\s*[\"']", re.IGNORECASE), "an inline handler"),
    (re.compile(r"(?:src|href)=[\"'](?:https?:)?//", re.IGNORECASE), "something from another host"),
)


@pytest.mark.parametrize(
    "page",
    [path for path in TEMPLATES if "mail" not in path.parts and "email" not in path.parts],
    ids=lambda path: str(path.relative_to(ROOT / "templates")),
)
def test_pages_keep_to_the_content_policy(page: Path) -> None:
    source = page.read_text()
    found = [name for pattern, name in FORBIDDEN if pattern.search(source)]
    assert found == []


@pytest.mark.parametrize("page", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT / "templates")))
def test_static_files_that_pages_name_exist(page: Path) -> None:
    for name in re.findall(r"{% static [\"']([^\"']+)[\"'] %}", page.read_text()):
        assert finders.find(name), name


# ---- The frame ----


def test_an_error_page_is_drawn_without_a_request() -> None:
    from django.template.loader import get_template

    page = get_template("500.html").render()
    assert "Something went wrong" in page
    assert "{%" not in page


@pytest.mark.parametrize(("cookie", "attribute"), [("dark", ' data-theme="dark"'), ("neon", ""), ("", "")])
def test_only_a_known_theme_is_taken_from_the_cookie(cookie: str, attribute: str) -> None:
    from django.contrib.auth.models import AnonymousUser
    from django.template.loader import render_to_string

    request = RequestFactory().get("/")
    request.COOKIES["theme"] = cookie
    request.user = AnonymousUser()
    page = render_to_string("404.html", {}, request)
    assert f'<html lang="en-us"{attribute}>' in page or f'<html lang="en"{attribute}>' in page


def test_the_first_view_weighs_less_than_200_kilobytes() -> None:
    """All that the frame asks for, fonts of both scripts included, room left for a page and its picture."""
    parts = [
        *(ROOT / "studio/static/studio/fonts").glob("*.woff2"),
        *(path for path in SHEETS.glob("*.css")),
        *(ROOT / "studio/static/studio/js").glob("*.js"),
        *(ROOT / "studio/static/studio/vendor").glob("*.js"),
    ]
    weight = sum(len(gzip.compress(path.read_bytes(), 6)) for path in parts)
    assert 50_000 < weight < 170_000


# ---- Forms ----


class Sample(forms.Form):
    width = forms.CharField(help_text="7 ft 6 in or 2.3 m.")
    loss = forms.IntegerField(required=False)
    outdoors = forms.BooleanField(required=False)
    payment = forms.ChoiceField(choices=[("now", "Now"), ("later", "Later")], widget=forms.RadioSelect)


Sample.base_fields["loss"].unit = "%"  # type: ignore[attr-defined] # as the forms set it


def test_an_error_stands_at_its_field_and_what_was_typed_stays() -> None:
    page = str(Sample({"width": "", "loss": "a few", "payment": "now"}))
    field = page[page.index('for="id_width"') : page.index('for="id_loss"')]
    assert 'aria-invalid="true"' in field
    assert 'aria-describedby="id_width_helptext id_width_error"' in field
    assert 'id="id_width_helptext"' in field
    assert 'id="id_width_error"' in field
    assert 'value="a few"' in page


def test_units_options_and_ticks_are_drawn() -> None:
    page = str(Sample())
    assert '<span class="unit">%</span>' in page
    assert "optional" in page[page.index('for="id_loss"') : page.index('for="id_outdoors"')]
    assert 'class="field field-tick"' in page
    assert re.search(r"<legend>\s*Payment\s*</legend\s*>", page)


def test_what_is_typed_is_escaped() -> None:
    assert "<script>alert" not in str(Sample({"width": "<script>alert(1)</script>"}))
