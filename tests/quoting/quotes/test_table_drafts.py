"""What is drawn for a quote and isn't a piece of it is found on the quote's page."""

from __future__ import annotations

from quoting.drawing_table import drafts, opening
from quoting.models import QuoteState
from quoting.quotes import sketch, table_drafts
from tests.people import House
from tests.quoting import scenes
from tests.quoting.drawing_table.test_drafts import named


def test_what_was_drawn_for_a_quote_is_listed_and_an_empty_table_is_opened_again(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        empty = opening.open_for_quote(quote.pk, wickerlark.studio)
        assert opening.open_for_quote(quote.pk, wickerlark.studio).pk == empty.pk
        assert table_drafts.find_unplaced(quote) == [], "nothing is drawn in it"
        drafts.act(empty.pk, named("Six"), version=1)
        assert [name for _, name in table_drafts.find_unplaced(quote)] == ["Six"]
        assert opening.open_for_quote(quote.pk, wickerlark.studio).pk != empty.pk
        drafts.open_piece(quote.pk, quote.pieces.get().pk)
        assert len(table_drafts.find_unplaced(quote)) == 1, "a piece is found on the quote itself"


def test_the_quote_s_page_leads_to_what_was_drawn_for_it(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        draft = opening.open_for_quote(quote.pk, wickerlark.studio)
        drafts.act(draft.pk, named("By the door"), version=1)
        address, table = (
            wickerlark.url("quoting:quote", quote.pk),
            wickerlark.url("quoting:table", draft.pk),
        )
    assert f'href="{table}">Go on drawing' in wickerlark.client("staff").get(address).content.decode()
    with wickerlark.enter():
        sketch.remove_piece(quote.pk, quote.pieces.get().pk, version=quote.version)
    assert f'href="{table}">Go on drawing' in wickerlark.client("staff").get(address).content.decode()
    with wickerlark.enter():
        scenes.set_state(quote, QuoteState.AGREED)
    agreed = wickerlark.client("staff").get(address).content.decode()
    assert "Go on drawing" not in agreed
    assert "Start from nothing" not in agreed


def test_an_agreed_quote_leads_back_from_the_table_s_address(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        piece = quote.pieces.get()
        scenes.set_state(quote, QuoteState.AGREED)
    client = wickerlark.client("staff")
    for address in (
        wickerlark.url("quoting:table-quote", quote.pk),
        wickerlark.url("quoting:table-piece", quote.pk, piece.pk),
    ):
        answer = client.post(address, follow=True)
        assert answer.request["PATH_INFO"] == wickerlark.url("quoting:quote", quote.pk)
        assert "This quote was agreed" in answer.content.decode()


def test_what_was_drawn_for_a_quote_is_deleted_there_and_brought_back(wickerlark: House) -> None:
    with wickerlark.enter():
        quote = scenes.quote(wickerlark)
        draft = opening.open_for_quote(quote.pk, wickerlark.studio)
        drafts.act(draft.pk, named("By the door"), version=1)
    client = wickerlark.client("staff")
    gone = client.post(wickerlark.url("quoting:table-delete", draft.pk), follow=True).content.decode()
    assert "By the door was deleted" in gone
    assert "Go on drawing" not in gone
    restore = wickerlark.url("quoting:table-restore", draft.pk)
    assert f'action="{restore}"' in gone
    assert "Go on drawing" in client.post(restore, follow=True).content.decode()
