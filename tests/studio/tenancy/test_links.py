"""Addresses inside a studio are those that Django gives."""

from __future__ import annotations

import pytest
from django.urls import NoReverseMatch, get_resolver, reverse, set_script_prefix
from django.urls.resolvers import URLPattern, URLResolver

from studio.tenancy import links
from tests.people import House

pytestmark = pytest.mark.django_db


def numbered_pages() -> list[tuple[str, int]]:
    """The name of every page of a studio whose address holds nothing but numbers, and how many."""
    found = []
    waiting: list[tuple[str, URLResolver | URLPattern]] = [("", each) for each in get_resolver().url_patterns]
    while waiting:
        space, each = waiting.pop()
        if isinstance(each, URLResolver):
            inner = f"{each.namespace}:" if each.namespace else space
            waiting += [(inner, below) for below in each.url_patterns]
            continue
        names = each.pattern.converters
        if space and all(type(kind).__name__ == "IntConverter" for kind in names.values()):
            found.append((f"{space}{each.name}", len(names)))
    return found


def test_every_numbered_page_has_the_address_that_django_gives(wickerlark: House) -> None:
    pages = numbered_pages()
    assert len(pages) > 100
    with wickerlark.enter():
        for name, count in pages:
            for first in (0, 7, 9_007_000_000):
                numbers = range(first, first + count)
                assert links.to(name, *numbers) == reverse(name, args=[wickerlark.studio.slug, *numbers])


def test_words_and_names_in_an_address_are_those_that_django_gives(wickerlark: House) -> None:
    slug = wickerlark.studio.slug
    with wickerlark.enter():
        assert links.to("events:event-stage-change", 7, "agreed") == f"/s/{slug}/events/7/stage/agreed/"
        assert links.to("events:event", event_id=7) == f"/s/{slug}/events/7/"


def test_a_page_that_there_is_not_has_no_address(wickerlark: House) -> None:
    with wickerlark.enter():
        for name, numbers in (("events:nowhere", [7]), ("events:event", []), ("events:event", [-1])):
            with pytest.raises(NoReverseMatch, match="Reverse for"):
                links.to(name, *numbers)


def test_addresses_follow_the_place_where_the_site_is_served(wickerlark: House) -> None:
    with wickerlark.enter():
        links.to("events:event", 7)
        try:
            set_script_prefix("/below/")
            assert links.to("events:event", 7) == f"/below/s/{wickerlark.studio.slug}/events/7/"
        finally:
            set_script_prefix("/")


def test_pages_outside_the_studios_have_the_address_that_django_gives() -> None:
    for name in ("account_login", "account_logout", "mfa_index"):
        assert links.outside(name) == reverse(name)
    with pytest.raises(NoReverseMatch, match="nowhere"):
        links.outside("nowhere")


@pytest.mark.parametrize(
    ("path", "inside"),
    [
        ("/s/wickerlark/drawing-table/3/quote-with/", True),
        ("/s/wickerlark/", True),
        ("/s/federkorn/drawing-table/3/", False),
        ("/s/wickerlark/../federkorn/", False),
        ("/s/wickerlark//example.org/", False),
        ("//example.org/s/wickerlark/", False),
        ("https://example.org/s/wickerlark/", False),
        ("/s/wickerlark/events/?next=x", False),
        ("/s/wickerlark/events/\n", False),
        ("", False),
    ],
)
def test_a_path_is_inside_only_where_it_leads_to_a_page_of_this_studio(
    wickerlark: House, path: str, inside: bool
) -> None:
    with wickerlark.enter():
        assert links.is_inside(path) is inside
