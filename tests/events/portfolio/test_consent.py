"""Consent to show photos: who, when, in which words; nothing is shown without it or after it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from events.models import Event, PhotoConsent, Portfolio, PortfolioPhoto
from events.portfolio import consent, public_page
from tests.people import House
from tests.quoting import scenes
from tests.studio.test_addresses import taken_at

pytestmark = pytest.mark.django_db
WORDS = "You may show photos of our party on your site."


def make_event(house: House) -> Event:
    with house.enter():
        event: Event = scenes.event()
    return event


def take_photo(house: House, event: Event) -> int:
    with house.enter("crew"):
        return taken_at(event.pk)


def say_yes(house: House, event: Event, **changed: Any) -> PhotoConsent:
    said = {"given_by": "Ada Adeyo", "given_on": date(2026, 1, 5), "words": WORDS, **changed}
    with house.enter("staff"):
        return consent.record(event.pk, **said)


def go_public(house: House, *, is_indexed: bool = False) -> str:
    with house.enter():
        public_page.switch(is_shown=True, is_indexed=is_indexed)
    return reverse("public-portfolio", args=[house.studio.slug])


def photo_address(house: House, photo: int) -> str:
    return reverse("public-portfolio-photo", args=[house.studio.slug, photo])


def test_consent_says_who_when_and_in_which_words(wickerlark: House) -> None:
    event = make_event(wickerlark)
    say_yes(wickerlark, event)
    with wickerlark.enter():
        found = consent.find(event.pk)
        assert found is not None
        assert (found.given_by, found.given_on, found.words) == ("Ada Adeyo", date(2026, 1, 5), WORDS)
        assert found.written_by == wickerlark.staff


def test_a_day_to_come_and_a_second_consent_are_refused(wickerlark: House) -> None:
    event = make_event(wickerlark)
    with pytest.raises(ValidationError, match="still to come"):
        say_yes(wickerlark, event, given_on=timezone.localdate() + timedelta(days=2))
    say_yes(wickerlark, event)
    with pytest.raises(ValidationError, match="already"):
        say_yes(wickerlark, event)
    with wickerlark.enter(), pytest.raises(IntegrityError), transaction.atomic():
        PhotoConsent.objects.create(event=event, given_by="Bo", given_on=date(2026, 1, 6), words=WORDS)


@pytest.mark.parametrize("missing", ["given_by", "words"])
def test_the_database_refuses_a_consent_of_nobody_or_without_words(wickerlark: House, missing: str) -> None:
    event = make_event(wickerlark)
    with pytest.raises(IntegrityError), transaction.atomic():
        say_yes(wickerlark, event, **{missing: ""})


def test_crew_records_no_consent(wickerlark: House) -> None:
    event = make_event(wickerlark)
    with wickerlark.enter("crew"), pytest.raises(PermissionDenied):
        consent.record(event.pk, given_by="Ada", given_on=date(2026, 1, 5), words=WORDS)


def test_without_consent_no_photo_is_marked(wickerlark: House) -> None:
    event = make_event(wickerlark)
    photo = take_photo(wickerlark, event)
    page = wickerlark.client().post(wickerlark.url("events:event-photos", event.pk), {"photo": photo})
    assert page.status_code == 422
    assert "Record the client’s consent first." in page.content.decode()
    with wickerlark.enter():
        assert not PortfolioPhoto.objects.exists()


def test_withdrawn_consent_takes_the_photos_away_at_once_and_stays_on_record(wickerlark: House) -> None:
    event = make_event(wickerlark)
    photo = take_photo(wickerlark, event)
    address = go_public(wickerlark)
    say_yes(wickerlark, event)
    with wickerlark.enter():
        consent.show(event.pk, {photo})
    stranger = Client()
    assert photo_address(wickerlark, photo) in stranger.get(address).content.decode()
    assert stranger.get(photo_address(wickerlark, photo)).status_code == 200
    wickerlark.client().post(wickerlark.url("events:photo-consent-withdraw", event.pk))
    assert photo_address(wickerlark, photo) not in stranger.get(address).content.decode()
    assert stranger.get(photo_address(wickerlark, photo)).status_code == 404
    with wickerlark.enter():
        (ended,) = consent.find_ended(event.pk)
        assert (ended.given_by, ended.withdrawn_by) == ("Ada Adeyo", wickerlark.owner)
    say_yes(wickerlark, event)
    assert stranger.get(photo_address(wickerlark, photo)).status_code == 404, "marked anew, or not shown"


def test_a_mark_counts_for_nothing_once_its_consent_has_ended(wickerlark: House) -> None:
    event = make_event(wickerlark)
    photo = take_photo(wickerlark, event)
    go_public(wickerlark)
    say_yes(wickerlark, event)
    with wickerlark.enter():
        consent.show(event.pk, {photo})
        PhotoConsent.objects.update(withdrawn_at=timezone.now())
    assert Client().get(photo_address(wickerlark, photo)).status_code == 404


def test_photos_are_marked_and_unmarked_and_others_left_out(wickerlark: House) -> None:
    event, other = make_event(wickerlark), make_event(wickerlark)
    first, second, foreign = (take_photo(wickerlark, one) for one in (event, event, other))
    say_yes(wickerlark, event)
    office, page = wickerlark.client("staff"), wickerlark.url("events:event-photos", event.pk)
    assert office.post(page, {"photo": [first, foreign, "x", "9" * 30]}).status_code == 302
    with wickerlark.enter():
        assert [one.photo_id for one in PortfolioPhoto.objects.all()] == [first]
    office.post(page, {"photo": [second]})
    with wickerlark.enter():
        assert [one.photo_id for one in PortfolioPhoto.objects.all()] == [second]


def test_the_page_is_off_at_first_and_again_when_switched_off(wickerlark: House, federkorn: House) -> None:
    address = reverse("public-portfolio", args=[wickerlark.studio.slug])
    assert Client().get(address).status_code == 404
    go_public(federkorn)
    assert Client().get(address).status_code == 404
    go_public(wickerlark)
    assert Client().get(address).status_code == 200
    wickerlark.client().post(wickerlark.url("events:portfolio"), {})
    assert Client().get(address).status_code == 404


def test_search_engines_are_kept_out_until_the_studio_lets_them_in(wickerlark: House) -> None:
    address = go_public(wickerlark)
    robots = '<meta name="robots" content="noindex, nofollow">'
    assert robots in Client().get(address).content.decode()
    go_public(wickerlark, is_indexed=True)
    assert robots not in Client().get(address).content.decode()
    office = wickerlark.client()
    page = office.post(wickerlark.url("events:portfolio"), {"is_indexed": "on"})
    assert page.status_code == 422
    with wickerlark.enter(), pytest.raises(IntegrityError), transaction.atomic():
        Portfolio.objects.update(is_shown=False)


def test_the_page_names_no_client_no_event_and_no_place(wickerlark: House) -> None:
    event = make_event(wickerlark)
    photo = take_photo(wickerlark, event)
    address = go_public(wickerlark)
    say_yes(wickerlark, event)
    with wickerlark.enter():
        consent.show(event.pk, {photo})
        names = [event.title, event.client.name, "Ada Adeyo", WORDS]
        names += [event.venue.name] if event.venue else []
    page = Client().get(address)
    assert wickerlark.studio.name in page.content.decode()
    assert not [name for name in names if name in page.content.decode()]
    assert page["Cache-Control"] == "public, max-age=300"
    picture = Client().get(photo_address(wickerlark, photo))
    assert picture["Content-Type"] == "image/webp"
    assert picture["Cache-Control"] == "public, max-age=300"


def test_a_photo_of_another_studio_isnt_on_its_page(wickerlark: House, federkorn: House) -> None:
    event = make_event(wickerlark)
    photo = take_photo(wickerlark, event)
    go_public(wickerlark)
    go_public(federkorn)
    say_yes(wickerlark, event)
    with wickerlark.enter():
        consent.show(event.pk, {photo})
    assert Client().get(photo_address(federkorn, photo)).status_code == 404
    theirs = federkorn.client().get(federkorn.url("events:event-photos", event.pk))
    assert theirs.status_code == 404


def test_the_public_pages_queries_dont_grow_with_its_photos(
    wickerlark: House, django_assert_max_num_queries: Any
) -> None:
    event = make_event(wickerlark)
    photos = {take_photo(wickerlark, event) for _ in range(5)}
    address = go_public(wickerlark)
    say_yes(wickerlark, event)
    counts = []
    for shown in (set(list(photos)[:1]), photos):
        with wickerlark.enter():
            consent.show(event.pk, shown)
        Client().get(address)
        with django_assert_max_num_queries(30) as found:
            assert Client().get(address).content.count(b'.webp"') >= len(shown)
        counts.append(len(found))
    assert counts[0] == counts[1]


def test_the_office_compares_photos_with_what_was_promised(wickerlark: House) -> None:
    with wickerlark.enter():
        event = scenes.quote(wickerlark).event
    take_photo(wickerlark, event)
    page = wickerlark.client("staff").get(wickerlark.url("events:event-photos", event.pk)).content.decode()
    assert "As promised" in page
    assert "?wide" in page
    section = wickerlark.client("staff").get(wickerlark.url("events:event", event.pk)).content.decode()
    assert "No consent to show photos" in section
    assert (
        "No consent to show photos"
        not in wickerlark.client("crew").get(wickerlark.url("events:event", event.pk)).content.decode()
    )


def test_a_consent_is_typed_in_and_faults_stand_at_their_fields(wickerlark: House) -> None:
    event = make_event(wickerlark)
    office, address = wickerlark.client("staff"), wickerlark.url("events:photo-consent", event.pk)
    page = office.post(address, {"given_by": "Ada", "given_on": "2999-01-01", "words": WORDS})
    assert page.status_code == 422
    assert "still to come" in page.content.decode()
    assert office.post(address, {"given_by": "Ada", "given_on": "", "words": ""}).status_code == 422
    assert (
        office.post(address, {"given_by": "Ada", "given_on": "2026-01-05", "words": WORDS}).status_code == 302
    )
    assert WORDS in office.get(wickerlark.url("events:event-photos", event.pk)).content.decode()
