"""After a change the quote page gets what says something else than it shows, and everything where it can't be sure."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django import forms
from django.conf import settings
from django.test import RequestFactory

from events.models import Event
from quoting.models import Quote, QuoteState
from quoting.quote_page import fragments, sheet_answer, views
from quoting.quotes import sketch
from studio.models import Person
from tests.people import House
from tests.quoting import scenes
from tests.quoting.quote_page.test_quote_page import HTMX, fields

ALONE = "HX-Reswap"


def shown_by(html: str) -> dict[str, str]:
    """What a page says that it shows: its frame's and its fragments' digests."""
    frame = re.search(r'data-frame="(\w+)"', html)
    found = dict(re.findall(r'\bid="([\w-]+)"[^>]*? data-digest="(\w+)"', html))
    return found | ({"frame": frame[1]} if frame else {})


def knowing(digests: dict[str, str]) -> dict[str, str]:
    return {**HTMX, "X-Fragments": " ".join(f"{name}:{digest}" for name, digest in digests.items())}


def page_of(house: House, quote: Quote) -> str:
    page: str = house.client().get(house.url("quoting:quote", quote.pk)).content.decode()
    return page


def alter(house: House, quote: Quote, page: str, **typed: Any) -> Any:
    address = house.url("quoting:quote-alter", quote.pk)
    return house.client().post(address, fields(page) | typed, headers=knowing(shown_by(page)))


def version_of(house: House, quote: Quote) -> int:
    with house.enter():
        return Quote.objects.get(pk=quote.pk).version


@pytest.fixture
def quoted(wickerlark: House) -> Quote:
    with wickerlark.enter():
        return scenes.quote(wickerlark)


def test_a_page_that_shows_everything_gets_nothing(wickerlark: House, quoted: Quote) -> None:
    known = shown_by(page_of(wickerlark, quoted))
    assert {"frame", "size-bench", "tape-lines", "count-lines"} <= set(known)
    again = wickerlark.client().get(wickerlark.url("quoting:quote", quoted.pk), headers=knowing(known))
    assert (again.content, again[ALONE]) == (b"", "none")


@pytest.mark.parametrize(
    ("typed", "stay"),
    [
        (
            {"loss": "9"},
            {"size-bench", "palette", "sizes", "frames-florals", "evenness", "more-adjust", "fit"},
        ),
        (
            {"crew": "3"},
            {"size-bench", "palette", "sizes", "frames-florals", "count-lines", "count-labor", "more-plan"},
        ),
        (
            {"fullness": "80"},
            {"palette", "arrangement", "frames-florals", "loss-crew", "site-fields", "more-way"},
        ),
        ({"width_m": "9 ft"}, {"site-fields", "more-plan", "more-way", "fit"}),
        ({"again": "1"}, {"more-adjust", "more-line", "fit"}),
    ],
)
def test_what_travels_makes_the_page_what_it_would_be_if_loaded_anew(
    wickerlark: House, quoted: Quote, typed: dict[str, str], stay: set[str]
) -> None:
    before = page_of(wickerlark, quoted)
    answer = alter(wickerlark, quoted, before, **typed)
    assert (answer.status_code, answer[ALONE], answer["X-Version"]) == (200, "none", "2")
    sent = shown_by(answer.content.decode())
    after = shown_by(page_of(wickerlark, quoted))
    assert shown_by(before) | sent == after
    assert not stay & set(sent)
    assert "quote-head" in sent


def test_another_share_brings_colours_for_the_picture_that_the_page_shows(
    wickerlark: House, quoted: Quote
) -> None:
    """Put where the balloons are in the page's picture, they make it the picture of the page loaded anew."""
    before = page_of(wickerlark, quoted)
    first = next(name for name in fields(before) if name.startswith("share."))
    answer = alter(wickerlark, quoted, before, **{first: "52"}).content.decode()
    after = page_of(wickerlark, quoted)
    sent = re.search(r'<div id="balloon-colours"[^>]* data-colours="(\w+)" data-words="([^"]*)"', answer)
    assert sent
    assert "size-picture" not in answer
    digits = iter(sent[1])
    coloured = re.sub(
        r'(<use href="#b)\d+',
        lambda found: found[1] + str(int(next(digits), 16)),
        picture(before),
    )
    described = re.sub(r'aria-label="[^"]*"', f'aria-label="{sent[2]}"', coloured, count=1)
    assert next(digits, None) is None
    assert described == picture(after) != picture(before)


def picture(html: str) -> str:
    return html.partition('class="size-picture">')[2].partition("</svg>")[0]


def test_a_fragment_alone_is_the_same_as_on_the_page(wickerlark: House, quoted: Quote) -> None:
    page = page_of(wickerlark, quoted)
    known = shown_by(page)
    frame = {"frame": known["frame"]}
    address = wickerlark.url("quoting:quote", quoted.pk)
    alone = wickerlark.client().get(address, headers=knowing(frame)).content.decode()
    assert set(shown_by(alone)) == set(known) - {"frame"}
    for part in without_tokens(alone).split("<!-- -->"):
        assert part in without_tokens(page)


def without_tokens(html: str) -> str:
    """Without what differs at every request, with a mark before each fragment that travels alone."""
    bare = re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", html)
    return re.sub(r'(<\w+[^<>]*?) hx-swap-oob="morph"', r"<!-- -->\1", bare)


@pytest.mark.parametrize(
    "header", ["", "frame:", "frame:0 tape-lines:0", ": : :", "frame", "ß:ß", "x" * 5000]
)
def test_whoever_says_nothing_that_is_known_gets_the_whole_sheet(
    wickerlark: House, quoted: Quote, header: str
) -> None:
    address = wickerlark.url("quoting:quote", quoted.pk)
    answer = wickerlark.client().get(address, headers={**HTMX, "X-Fragments": header})
    assert ALONE not in answer
    assert 'id="quote"' in answer.content.decode()


def test_a_fragment_that_is_not_named_travels_even_if_it_is_the_same(
    wickerlark: House, quoted: Quote
) -> None:
    known = shown_by(page_of(wickerlark, quoted))
    del known["frames-florals"]
    known["count-lines"] = "other"
    answer = wickerlark.client().get(wickerlark.url("quoting:quote", quoted.pk), headers=knowing(known))
    assert set(shown_by(answer.content.decode())) == {"frames-florals", "count-lines"}


def test_a_page_two_versions_old_gets_everything_and_keeps_what_was_typed(
    wickerlark: House, quoted: Quote
) -> None:
    old = page_of(wickerlark, quoted)
    for loss in ("11", "12"):
        alter(wickerlark, quoted, page_of(wickerlark, quoted), loss=loss)
    answer = alter(wickerlark, quoted, old, crew="5")
    html = answer.content.decode()
    assert answer.status_code == 422
    assert ALONE not in answer
    assert 'id="quote-problem"' in html
    assert fields(html)["crew"] == "5"
    assert fields(html)["loss"] == "12"
    assert version_of(wickerlark, quoted) == 3


def test_of_two_owners_at_one_field_the_second_is_told_and_the_notice_goes_with_the_next_change(
    wickerlark: House, quoted: Quote
) -> None:
    page = page_of(wickerlark, quoted)
    assert alter(wickerlark, quoted, page, loss="11")[ALONE] == "none"
    second = alter(wickerlark, quoted, page, loss="9")
    assert (second.status_code, ALONE in second) == (422, False)
    applied = alter(wickerlark, quoted, second.content.decode(), loss="9")
    assert (applied.status_code, ALONE in applied) == (200, False)
    assert 'id="quote-problem"' not in applied.content.decode()


def test_one_more_set_piece_changes_the_frame_so_everything_travels(wickerlark: House, quoted: Quote) -> None:
    page = page_of(wickerlark, quoted)
    with wickerlark.enter():
        template = scenes.starter(wickerlark.studio)
        sketch.add_piece(quoted.pk, template.pk, version=quoted.version)
    answer = wickerlark.client().get(
        wickerlark.url("quoting:quote", quoted.pk), headers=knowing(shown_by(page))
    )
    assert ALONE not in answer
    assert "piece-tabs" in answer.content.decode()


def test_a_change_whose_answer_fails_is_not_made(
    wickerlark: House, quoted: Quote, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = page_of(wickerlark, quoted)

    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("a fragment fails")

    monkeypatch.setattr(fragments.Shown, "render", broken)
    with pytest.raises(RuntimeError, match="a fragment fails"):
        alter(wickerlark, quoted, page, loss="9")
    monkeypatch.undo()
    assert version_of(wickerlark, quoted) == 1
    assert shown_by(page_of(wickerlark, quoted)) == shown_by(page)


def test_without_scripts_a_change_leads_back_to_the_whole_page(wickerlark: House, quoted: Quote) -> None:
    page, address = page_of(wickerlark, quoted), wickerlark.url("quoting:quote-alter", quoted.pk)
    answer = wickerlark.client().post(address, fields(page) | {"loss": "9"}, follow=True)
    assert answer.redirect_chain
    html = answer.content.decode()
    assert html.startswith("<!doctype html>")
    assert fields(html)["loss"] == "9"


def test_every_name_that_a_fragment_declares_is_on_the_page(wickerlark: House, quoted: Quote) -> None:
    page = context_of(wickerlark, quoted)
    assert fragments.find_frame(page, fragments.find_fragments(page)).unknown == ()
    del page["tape"], page["beads"]
    assert fragments.find_frame(page, fragments.find_fragments(page)).unknown == ("beads", "tape")


def test_what_hangs_on_something_that_is_not_there_is_known_to_be_missing(
    wickerlark: House, quoted: Quote
) -> None:
    with wickerlark.enter():
        Event.objects.filter(pk=quoted.event_id).update(venue=None)
    page = context_of(wickerlark, quoted)
    assert fragments.find_frame(page, fragments.find_fragments(page)).unknown == ()


def test_a_fragment_shows_nothing_that_it_does_not_declare(wickerlark: House, quoted: Quote) -> None:
    """With everything that the page has, it says the same as with what it declares alone."""
    page, request = context_of(wickerlark, quoted), RequestFactory().get("/")
    found = page["quote"]
    whole = {**page, "quote": {**vars(found), "pk": found.pk, "is_open": found.is_open}}
    with wickerlark.enter():
        for name, shown in fragments.find_fragments(page).items():
            declared, everything = (
                without_tokens(each.render(request, found.version, alone=False))
                for each in (shown, replace(shown, values=whole))
            )
            assert declared == everything, name


def test_a_name_that_nothing_stands_for_is_logged_and_the_whole_page_is_sent(
    wickerlark: House, quoted: Quote, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    known = shown_by(page_of(wickerlark, quoted))
    real = sheet_answer.context

    def lacking(*args: Any, **more: Any) -> dict[str, object]:
        return {name: value for name, value in real(*args, **more).items() if name != "hours"}

    monkeypatch.setattr(views, "context", lacking)
    address = wickerlark.url("quoting:quote", quoted.pk)
    with pytest.raises(AssertionError, match="nothing stands for hours"):
        wickerlark.client().get(address, headers=knowing(known))
    monkeypatch.setattr(sheet_answer.log, "handlers", [])
    answer = wickerlark.client().get(address, headers=knowing(known))
    assert ALONE not in answer
    assert 'id="quote"' in answer.content.decode()
    assert "nothing stands for hours" in caplog.text


def context_of(house: House, quote: Quote) -> dict[str, Any]:
    """What the templates of the quote page are given."""
    answer: Any = house.client().get(house.url("quoting:quote", quote.pk))
    return dict(answer.context.flatten())


def test_the_frame_declares_what_the_templates_show_outside_of_fragments() -> None:
    folder = Path(settings.BASE_DIR) / "templates/quoting/quote_page"
    names = ("_sheet", "_piece_form", "_no_piece", "_tape", "_look_along")
    text = "".join((folder / f"{name}.html").read_text() for name in names)
    frame = re.sub(r"{% partialdef .*?{% endpartialdef %}", "", text, flags=re.DOTALL)
    tags = " ".join(re.findall(r"{[{%].*?[%}]}", frame, flags=re.DOTALL))
    used = set(re.findall(r"\b(?:quote|event|piece)\.[a-z_.]+", tags))
    used = {name for name in used if not name.endswith(".html")}
    assert "event.ready_by" in used
    declared = set(fragments.OUTSIDE.split()) | {"event.venue"}  # by its name
    assert used - {"quote.version"} <= declared


class Plain(forms.Form):
    size = forms.ChoiceField(choices=[("s", "small"), ("l", "large")])


def test_a_digest_knows_values_faults_choices_and_columns() -> None:
    class Larger(Plain):
        size = forms.ChoiceField(choices=[("s", "small"), ("xl", "extra large")])

    kinds = [Plain(), Plain({"size": "s"}), Plain({"size": "l"}), Plain({"size": "?"}), Larger({"size": "s"})]
    assert len({fragments.digest_of(form) for form in kinds}) == len(kinds)
    assert fragments.digest_of([Plain({"size": "s"})["size"]]) == fragments.digest_of(
        [Plain({"size": "s"})["size"]]
    )
    people = [Person(name="Ines"), Person(name="Teo")]
    assert len({fragments.digest_of({"by": person}) for person in people}) == 2
    assert fragments.digest_of(object()) != fragments.digest_of(object())


def test_the_page_of_an_agreed_quote_has_figures_and_no_forms_to_send(
    wickerlark: House, quoted: Quote
) -> None:
    with wickerlark.enter():
        Quote.objects.filter(pk=quoted.pk).update(state=QuoteState.AGREED)
    shown = set(shown_by(page_of(wickerlark, quoted)))
    assert {"tape-lines", "count-lines", "shelf-words"} <= shown
    assert not shown & {
        "more-adjust",
        "more-plan",
        "more-by-hand",
        "more-line",
        "more-options",
        "more-way",
        "fit",
    }
