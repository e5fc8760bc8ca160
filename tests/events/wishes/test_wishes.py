"""What a client wishes is kept with the enquiry, changed on its page, and seen by who sees quotes."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from events.models import Wishes
from events.wishes.wishes import Wished, keep_wishes, wishes_of
from tests.people import House
from tests.quoting import scenes

pytestmark = pytest.mark.django_db

WISHED = Wished("Harvest supper", 80, "sage and cream", Decimal(600), "call")


def test_wishes_are_kept_in_place_of_what_was_kept_before(wickerlark: House) -> None:
    with wickerlark.enter():
        event = scenes.event()
        assert not wishes_of(event).says_anything
        keep_wishes(event, Wished(occasion="Wedding", guests=10))
        keep_wishes(event, WISHED)
        assert wishes_of(event) == WISHED
        assert Wishes.objects.count() == 1


@pytest.mark.parametrize(
    ("wished", "field"),
    [(Wished(guests=0), "guests"), (Wished(budget=Decimal(-1)), "budget"), (Wished(source="tv"), "source")],
)
def test_what_cannot_be_wished_is_named(wickerlark: House, wished: Wished, field: str) -> None:
    with wickerlark.enter():
        event = scenes.event()
        with pytest.raises(ValidationError) as refused:
            keep_wishes(event, wished)
    assert set(refused.value.message_dict) == {field}


def test_crew_neither_change_nor_see_wishes(wickerlark: House) -> None:
    with wickerlark.enter():
        event = scenes.event()
        keep_wishes(event, WISHED)
    with wickerlark.enter("crew"), pytest.raises(PermissionDenied):
        keep_wishes(event, Wished())
    crew = wickerlark.client("crew").get(wickerlark.url("events:event", event.pk)).content.decode()
    assert "$600.00" not in crew
    staff = wickerlark.client("staff").get(wickerlark.url("events:event", event.pk)).content.decode()
    assert "$600.00" in staff


def test_the_page_of_wishes_keeps_what_was_typed(wickerlark: House) -> None:
    with wickerlark.enter():
        event = scenes.event()
    client, page = wickerlark.client("staff"), wickerlark.url("events:event-wishes", event.pk)
    answer = client.post(page, {"occasion": "Wedding", "guests": "two", "budget": "600"})
    assert answer.status_code == 422
    assert "Wedding" in answer.content.decode()
    said = {"occasion": "Wedding", "guests": "2", "budget": "$600", "colours": "sage", "source": "venue"}
    assert client.post(page, said).status_code == 302
    with wickerlark.enter():
        assert wishes_of(event) == Wished("Wedding", 2, "sage", Decimal(600), "venue")
    assert 'value="Wedding"' in client.get(page).content.decode()
