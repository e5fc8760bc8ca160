"""The search over everything finds quotes, offers and invoices, for whoever may see them."""

from __future__ import annotations

from events.jobs import search
from tests.people import House
from tests.quoting import offer_scenes


def found(house: House, asked: str, role: str = "owner") -> dict[str, list[str]]:
    with house.enter(role):
        said = search.search(asked, house.studio)
        return {section.title: [row.title for row in section.rows] for section in said.further}


def test_a_quote_and_its_offer_are_found_by_title_client_and_number(wickerlark: House) -> None:
    with wickerlark.enter():
        offer = offer_scenes.offered(wickerlark).offer
        title, client = offer.quote.title, offer.client_name
    named = f"Offer {offer.reference}: {title}"
    for asked in (title, client):
        assert found(wickerlark, asked)["Quotes"] == [title]
        assert found(wickerlark, asked)["Offers"] == [named]
    assert found(wickerlark, f"{offer.number:02}")["Offers"] == [named]
    assert found(wickerlark, f"{client} {offer.number}")["Offers"] == [named]
    assert found(wickerlark, f"{offer.number}-1")["Offers"] == [named]
    assert "Offers" not in found(wickerlark, f"{offer.number}-7")
    assert "Offers" not in found(wickerlark, "9" * 40)


def test_crew_find_no_quotes_and_no_offers(wickerlark: House) -> None:
    with wickerlark.enter():
        title = offer_scenes.offered(wickerlark).offer.quote.title
    assert found(wickerlark, title, "crew").keys() <= {"Stock"}


def test_another_studio_finds_nothing_of_it(wickerlark: House, federkorn: House) -> None:
    with wickerlark.enter():
        title = offer_scenes.offered(wickerlark).offer.quote.title
    assert found(federkorn, title) == {}
