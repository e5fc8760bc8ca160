"""Somebody who belongs to one, two or three studios: each studio has them once, and sees nothing of the others."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlsplit

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from events.crew import assigning
from events.crew import people as crew
from events.models import CrewMember, ShiftKind
from quoting.quotes import staffing
from studio import tenancy
from studio.models import Invitation, LinkPurpose, Membership, Person, PublicLink, Studio
from studio.people import membership as people
from studio.people import public_links
from studio.tenancy.rights import Role
from tests import people as test_people
from tests.events.conftest import agree, stock_up, take
from tests.people import House

ROLES = (Role.OWNER, Role.STAFF, Role.CREW)
"""What the person is in the first, second and third studio."""


@dataclass(frozen=True)
class Several:
    """Three studios, and somebody who belongs to the first of them."""

    houses: tuple[House, House, House]
    person: Person

    def join(self, house: House, role: Role) -> None:
        """Take up an invitation of that studio, as the person does."""
        with house.enter():
            sent = people.invite(email=self.person.email, role=role, by=house.owner)
        found = public_links.find(sent.address.rstrip("/").rsplit("/", 1)[1], LinkPurpose.INVITATION)
        assert found is not None
        people.join(person=self.person, found=found)

    def join_first(self, count: int) -> Sequence[House]:
        """Belong to so many of the studios."""
        joined = self.houses[:count]
        for house, role in zip(joined, ROLES, strict=False):
            self.join(house, role)
        return joined

    def browser(self) -> Client:
        client = Client()
        client.force_login(self.person)
        return client


@pytest.fixture
def several(wickerlark: House, federkorn: House) -> Several:
    third = test_people.house("halmgold", "Halmgold", zone="Europe/Vienna", currency="EUR", locale="de_AT")
    return Several(
        (wickerlark, federkorn, third), Person.objects.create_user("noor@example.test", name="Noor")
    )


@pytest.mark.parametrize("count", [1, 2, 3])
def test_a_person_joins_each_studio_that_invites_them(several: Several, count: int) -> None:
    joined = several.join_first(count)
    for house, role in zip(joined, ROLES, strict=False):
        with house.enter():
            mine = Membership.objects.get(person=several.person)
            assert (mine.studio_id, mine.role) == (house.studio.pk, role)
            assert Invitation.objects.get().accepted_by == several.person
            assert Membership.objects.count() == 4
    assert {m.studio.slug for m in people.memberships_of(several.person)} == {h.studio.slug for h in joined}


def test_inside_a_studio_nobody_sees_what_they_are_elsewhere(several: Several) -> None:
    for house in several.join_first(3):
        with tenancy.entered(house.studio.pk, person_id=several.person.pk):
            assert [m.studio_id for m in Membership.objects.filter(person=several.person)] == [
                house.studio.pk
            ]
            assert [studio.pk for studio in Studio.objects.all()] == [house.studio.pk]


def test_the_database_keeps_what_is_read_without_a_studio_out_of_an_entered_one(several: Several) -> None:
    """Whatever else is set for the transaction: one's person, the roster, a link's token."""
    first, second, _ = several.join_first(3)
    with second.enter():
        sent = people.invite(email="other@example.test", role=Role.CREW, by=second.owner)
        link = PublicLink.objects.get(subject_id=sent.invitation.pk)
    with first.enter(), connection.cursor() as cursor:
        for name, value in (("person", several.person.pk), ("roster", "on"), ("token", link.token_hash)):
            cursor.execute("SELECT set_config(%s, %s, true)", [f"billowbook.{name}", str(value)])
        for model in (Membership, Studio, PublicLink):
            field = "id" if model is Studio else "studio_id"
            assert set(model._default_manager.values_list(field, flat=True)) == {first.studio.pk}, model


@pytest.mark.parametrize("count", [1, 2, 3])
def test_every_page_about_people_names_them_once(several: Several, count: int) -> None:
    for house in several.join_first(count):
        with house.enter():
            number = Membership.objects.get(person=several.person).pk
            stock_up()
            event = take()
            agree(event)
            crew.change_person(crew.find_person(number), is_called=True)
            assigning.assign_person(event.pk, ShiftKind.INSTALL, number)
        browser = several.browser() if count == 1 else house.client()
        listed = browser.get(house.url("studio:people")).content.decode()
        assert listed.count("noor@example.test") == 1
        on_crew = browser.get(house.url("events:crew")).content.decode()
        assert on_crew.count(f'href="{house.url("events:crew-member", number)}"') == 1
        for page in ("events:crew-member", "events:person-run-sheet"):
            assert "Noor" in browser.get(house.url(page, number)).content.decode(), page
        choices = browser.get(house.url("events:event-crew", event.pk)).content.decode()
        assert set(re.findall(r'<option value="(\d+)"[^>]*>\s*Noor', choices)) == {str(number)}
        with house.enter():
            assert CrewMember.objects.filter(person=several.person).count() == 1
            assert len(crew.list_people()) == 4
            assert Membership.objects.count() == 4
            assert (
                staffing.crew_among(staffing.roles(), event, has_others=True).people
                == Membership.objects.filter(role="crew").count()
            )


@pytest.mark.parametrize("count", [1, 2, 3])
def test_their_own_pages_are_those_of_the_studio_they_are_in(several: Several, count: int) -> None:
    joined = several.join_first(count)
    browser = several.browser()
    for house, role in zip(joined, ROLES, strict=False):
        assert browser.get(house.url("events:week")).status_code == 200
        assert browser.get(house.url("events:crew")).status_code in (200, 403)
        expected = 200 if role is Role.OWNER else 403
        assert browser.get(house.url("studio:people")).status_code == expected
    for house in several.houses[count:]:
        assert browser.get(house.url("events:week")).status_code == 404
    door = browser.get("/")
    if count == 1:
        assert door["Location"] == joined[0].url("events:week")
    else:
        content = door.content.decode()
        assert [content.count(f'href="{house.url("events:week")}"') for house in several.houses] == [
            1 if house in joined else 0 for house in several.houses
        ]


@pytest.mark.parametrize("count", [1, 2, 3])
def test_days_off_and_a_calendar_are_kept_in_each_studio_for_itself(several: Several, count: int) -> None:
    browser = several.browser()
    for house in several.join_first(count):
        with house.enter():
            number = Membership.objects.get(person=several.person).pk
        sent = browser.post(
            house.url("events:days-off-add", number), {"first_day": "2099-01-05", "last_day": "2099-01-06"}
        )
        assert sent.status_code in (302, 422), sent.content.decode()[:500]
        assert browser.post(house.url("events:feed-open", number)).status_code == 302
        address = browser.session["feed_address"]
        assert Client().get(urlsplit(address).path).status_code == 200


def test_who_leaves_one_studio_stays_in_the_others(several: Several) -> None:
    first, second, third = several.join_first(3)
    with second.enter():
        people.remove(Membership.objects.get(person=several.person).pk)
    browser = several.browser()
    assert [browser.get(h.url("events:week")).status_code for h in (first, second, third)] == [200, 404, 200]
    several.join(second, Role.CREW)
    assert browser.get(second.url("events:week")).status_code == 200


def test_a_role_changed_in_one_studio_is_the_old_one_in_the_others(several: Several) -> None:
    first, second, third = several.join_first(3)
    with second.enter():
        people.change_role(Membership.objects.get(person=several.person).pk, Role.CREW)
    assert {m.studio_id: m.role for m in people.memberships_of(several.person)} == {
        first.studio.pk: "owner",
        second.studio.pk: "crew",
        third.studio.pk: "crew",
    }


def test_somebody_signed_in_joins_a_second_studio_on_the_page(several: Several) -> None:
    several.join_first(1)
    second = several.houses[1]
    with second.enter():
        sent = people.invite(email=several.person.email, role=Role.STAFF, by=second.owner)
    browser = several.browser()
    joining = browser.get(urlsplit(sent.address).path)["Location"]
    assert "Atelier Federkorn" in browser.get(joining).content.decode()
    assert browser.post(joining)["Location"] == reverse("events:week", args=["federkorn"])
    assert browser.get(second.url("events:week")).status_code == 200
