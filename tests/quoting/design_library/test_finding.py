"""Designs found by words and tags, with the offers and photos that came of them."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from events.models import Photo
from quoting.craft.design.design_file import load_design
from quoting.design_library import finding, library
from quoting.design_library.finding import Past
from studio.models import StoredFile
from tests.people import House
from tests.quoting import invoice_scenes, offer_scenes, scenes


@pytest.fixture
def starters(wickerlark: House) -> House:
    with wickerlark.enter():
        library.bring_in_starters(wickerlark.studio)
    return wickerlark


@pytest.mark.parametrize(
    ("words", "files"),
    [
        ("nested arches", {"garland-nested-arches"}),
        ("HELIUM", {"terrace-frame-bouquets"}),
        ("school", {"classic-arch", "classic-columns"}),
        ("school graduation", {"classic-arch"}),
        ("school nowhere", set()),
    ],
)
def test_every_word_must_stand_in_a_design(starters: House, words: str, files: set[str]) -> None:
    names = {load_design(library.STARTERS / f"{file}.json").name for file in files}
    with starters.enter("staff"):
        assert {each.name for each in finding.find(words).templates} == names


def test_a_colour_finds_the_designs_in_it(starters: House) -> None:
    with starters.enter("staff"):
        for each in finding.find("harbour").templates:
            assert any(colour["name"] == "Harbour" for colour in each.design["palette"])


def test_a_tag_finds_the_designs_that_have_it(starters: House) -> None:
    with starters.enter("staff"):
        found = finding.find(tag="Wedding")
        counted = dict(found.tags)
        assert len(found.templates) == counted["wedding"] > 1
        assert all("wedding" in finding.tags_of(each) for each in found.templates)


def test_agreed_offers_stand_beside_the_design_they_were_drawn_from(wickerlark: House) -> None:
    offer = invoice_scenes.agreed(wickerlark)
    with wickerlark.enter("staff"):
        drawn, other = scenes.starter(wickerlark.studio), library.bring_in_starters(wickerlark.studio)[0]
        assert finding.past_of([drawn, other]) == {drawn.pk: Past(1, offer.total, offer.total)}
    page = wickerlark.client("staff").get(wickerlark.url("quoting:design", drawn.pk)).content.decode()
    assert f"in one agreed offer of ${offer.total:,.2f}" in page


def test_an_offer_that_nobody_agreed_to_does_not_count(wickerlark: House) -> None:
    offer_scenes.offered(wickerlark)
    with wickerlark.enter("staff"):
        assert finding.past_of([scenes.starter(wickerlark.studio)]) == {}


def test_photos_of_the_finished_work_stand_beside_the_design(wickerlark: House) -> None:
    offer = invoice_scenes.agreed(wickerlark)
    with wickerlark.enter():
        file = StoredFile.objects.create(name="p.jpg", media_type="image/jpeg", content=b"x", digest="0" * 64)
        photo = Photo.objects.create(
            uuid=uuid.uuid4(),
            event=offer.quote.event,
            file=file,
            width_px=4,
            height_px=3,
            made_at=timezone.now(),
        )
        drawn = scenes.starter(wickerlark.studio)
        assert finding.photos_of(drawn) == [photo]
    page = wickerlark.client("staff").get(wickerlark.url("quoting:design", drawn.pk)).content.decode()
    assert f'src="{wickerlark.url("events:photo", photo.pk)}"' in page


def test_the_queries_of_the_page_do_not_grow_with_the_designs(
    wickerlark: House, django_assert_max_num_queries: Any
) -> None:
    client, address = wickerlark.client("staff"), wickerlark.url("quoting:designs")
    with wickerlark.enter():
        scenes.starter(wickerlark.studio)
    with CaptureQueriesContext(connection) as few:
        client.get(address)
    with wickerlark.enter():
        library.bring_in_starters(wickerlark.studio)
    with django_assert_max_num_queries(len(few)):
        assert client.get(address, {"q": "wedding"}).status_code == 200


def test_tags_are_changed_on_the_page_of_a_design(wickerlark: House) -> None:
    with wickerlark.enter():
        drawn = scenes.starter(wickerlark.studio)
    address = wickerlark.url("quoting:design-change", drawn.pk)
    client = wickerlark.client("staff")
    form = client.get(address).context["form"]
    typed = {name: form[name].value() for name in form.fields if form[name].value() not in (None, False)}
    typed = {name: str(form.fields[name].prepare_value(value)) for name, value in typed.items()}
    answer = client.post(address, typed | {"tags": " Harvest ,  Town hall, harvest,,", "keep": "1"})
    assert answer.status_code == 302, answer.context["form"].errors
    with wickerlark.enter():
        assert finding.tags_of(scenes.starter(wickerlark.studio)) == ["harvest", "town hall"]
        assert [each.pk for each in finding.find(tag="town hall").templates] == [drawn.pk]
    too_many = client.post(address, typed | {"tags": ",".join(map(str, range(13)))})
    assert "At most 12 tags (this has 13)." in too_many.content.decode()
