"""Joining, belonging and leaving."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
import time_machine
from django.apps import apps
from django.core import mail as sent_mail
from django.core.exceptions import PermissionDenied, ValidationError
from django.db.models import Model
from django.http import Http404
from django.utils import timezone

from studio import tasks, tenancy
from studio.models import Invitation, LinkPurpose, Membership, OutboxEntry, Person, Studio
from studio.people import membership as people
from studio.people import public_links
from studio.tenancy.rights import MEMBER_ROLES, ROLE_RIGHTS, Right, Role
from tests.people import House, house

TRACKED = ("studio", "membership")


def token_of(address: str) -> str:
    return address.rstrip("/").rsplit("/", 1)[1]


def invited(house: House, email: str = "new@example.test", role: Role = Role.CREW) -> str:
    with house.enter():
        return token_of(people.invite(email=email, role=role, by=house.owner).address)


def columns(row: Model, *but: str) -> dict[str, object]:
    """The row's columns, but for those that no two rows share."""
    unlike = {"id", "pgh_id", "pgh_obj_id", "pgh_created_at", "pgh_context", "studio_id", "person_id"} | {
        *but
    }
    fields = row._meta.concrete_fields
    return {field.attname: getattr(row, field.attname) for field in fields if field.attname not in unlike}


def rows_of_a_studio(studio: Studio) -> list[list[dict[str, object]]]:
    """Its row, its members' rows, and what the trail holds of both."""
    trail = [apps.get_model("studio", f"{name}event") for name in TRACKED]
    tables: list[type[Model]] = [Studio, Membership, *trail]
    with tenancy.entered(studio.pk):
        return [
            [columns(row, "slug", "opened_at", "since") for row in table._default_manager.order_by("pk")]
            for table in tables
        ]


def test_the_studio_that_tests_stand_on_is_as_the_product_founds_it(db: None) -> None:
    profile = {"name": "Atelier", "zone": "Europe/Berlin", "units": "metric", "currency": "EUR"}
    put_down = house("put-down", **profile)
    owner, staff, crew = (
        Person.objects.create_user(f"{role}@founded.example", name=f"Atelier {role.capitalize()}")
        for role in MEMBER_ROLES
    )
    studio = people.found_studio(owner=owner, slug="founded", **profile)
    with tenancy.entered(studio.pk, slug=studio.slug):
        for person, role in ((staff, Role.STAFF), (crew, Role.CREW)):
            Membership.objects.create(person=person, role=role)
    for made, founded in zip(
        (put_down.owner, put_down.staff, put_down.crew), (owner, staff, crew), strict=True
    ):
        unlike = ("email", "password", "joined_at")
        assert columns(made, *unlike) == columns(founded, *unlike)
        assert not made.has_usable_password()
        assert made.email == founded.email.replace("founded", "put-down")
    assert columns(put_down.studio, "slug", "opened_at") == columns(studio, "slug", "opened_at")
    assert rows_of_a_studio(put_down.studio) == rows_of_a_studio(studio)


def test_crew_never_see_prices_and_staff_never_see_margins() -> None:
    assert not ROLE_RIGHTS[Role.CREW] & {
        Right.SEE_QUOTES,
        Right.SEE_COSTS,
        Right.SEE_MARGIN,
        Right.SEE_CLIENTS,
    }
    assert not ROLE_RIGHTS[Role.STAFF] & {
        Right.SEE_COSTS,
        Right.SEE_MARGIN,
        Right.MANAGE_PEOPLE,
        Right.SEE_AUDIT,
    }
    assert ROLE_RIGHTS[Role.CLIENT] == {Right.ANSWER_OFFER}


def test_an_invited_person_joins_under_the_invited_role(wickerlark: House) -> None:
    found = public_links.find(invited(wickerlark), LinkPurpose.INVITATION)
    assert found is not None
    person = Person.objects.create_user("New@example.test", name="Noor")
    assert people.join(person=person, found=found) == wickerlark.studio
    assert [m.role for m in people.memberships_of(person)] == ["crew"]


def test_an_invitation_works_once(wickerlark: House) -> None:
    token = invited(wickerlark)
    found = public_links.find(token, LinkPurpose.INVITATION)
    assert found is not None
    people.join(person=Person.objects.create_user("new@example.test", name="Noor"), found=found)
    assert public_links.find(token, LinkPurpose.INVITATION) is None
    with pytest.raises(people.CannotJoin, match="used or withdrawn"):
        people.join(person=wickerlark.crew, found=found)


def test_an_invitation_is_for_its_address_only(wickerlark: House, federkorn: House) -> None:
    found = public_links.find(invited(wickerlark), LinkPurpose.INVITATION)
    assert found is not None
    with pytest.raises(people.CannotJoin, match=r"is for new@example\.test; you are signed in as"):
        people.join(person=federkorn.owner, found=found)


def test_an_invitation_expires(wickerlark: House) -> None:
    token = invited(wickerlark)
    with time_machine.travel(timezone.now() + timedelta(days=7, seconds=1), tick=False):
        assert public_links.find(token, LinkPurpose.INVITATION) is None


@pytest.mark.parametrize(
    "change", [lambda t: t[:-1] + ("A" if t[-1] != "A" else "B"), lambda t: "", lambda t: t + "x"]
)
def test_an_altered_link_opens_nothing(wickerlark: House, change: Callable[[str], str]) -> None:
    assert public_links.find(change(invited(wickerlark)), LinkPurpose.INVITATION) is None


def test_a_link_serves_one_purpose_only(wickerlark: House) -> None:
    assert public_links.find(invited(wickerlark), LinkPurpose.OFFER) is None


def test_a_second_invitation_to_the_same_address_closes_the_first(wickerlark: House) -> None:
    first, second = invited(wickerlark), invited(wickerlark, role=Role.STAFF)
    assert public_links.find(first, LinkPurpose.INVITATION) is None
    assert public_links.find(second, LinkPurpose.INVITATION) is not None


def test_only_a_tokens_hash_is_kept(wickerlark: House) -> None:
    token = invited(wickerlark)
    with wickerlark.enter():
        invitation = Invitation.objects.select_related("link").get()
        assert invitation.link is not None
        assert token not in str(vars(invitation.link))
        assert len(invitation.link.token_hash) == 64


def test_an_invitation_is_mailed_with_a_link_that_works_and_no_token_is_kept(wickerlark: House) -> None:
    shown = invited(wickerlark)
    with wickerlark.enter():
        entry = OutboxEntry.objects.get()
    assert entry.task == "studio.mail_invitation"
    tasks.mail_invitation(studio_id=entry.studio_id, entry_id=entry.pk)
    (letter,) = sent_mail.outbox
    mailed = letter.body.split("/join/")[1].split()[0].rstrip("/")
    assert letter.to == ["new@example.test"]
    for token in (shown, mailed):
        assert public_links.find(token, LinkPurpose.INVITATION) is not None
        assert token not in str(entry.arguments)
    with wickerlark.enter():
        people.withdraw(Invitation.objects.get().pk)
    assert public_links.find(mailed, LinkPurpose.INVITATION) is None


def test_somebody_who_belongs_already_is_not_invited(wickerlark: House) -> None:
    with wickerlark.enter(), pytest.raises(ValidationError, match="already belongs to this studio"):
        people.invite(email="CREW@wickerlark.example", role=Role.CREW, by=wickerlark.owner)


@pytest.mark.parametrize("role", ["staff", "crew"])
def test_only_an_owner_manages_people(wickerlark: House, role: str) -> None:
    with wickerlark.enter(role):
        membership = Membership.objects.get(person=wickerlark.crew)
        with pytest.raises(PermissionDenied, match="doesn't allow you to invite and remove people"):
            people.invite(email="x@example.test", role=Role.OWNER, by=wickerlark.person(role))
        with pytest.raises(PermissionDenied, match="doesn't allow you to invite and remove people"):
            people.change_role(membership.pk, Role.OWNER)
        with pytest.raises(PermissionDenied, match="doesn't allow you to invite and remove people"):
            people.remove(membership.pk)


def test_the_last_owner_can_neither_leave_nor_step_down(wickerlark: House) -> None:
    with wickerlark.enter():
        mine = Membership.objects.get(person=wickerlark.owner)
        with pytest.raises(people.LastOwner, match="can't be removed"):
            people.remove(mine.pk)
        with pytest.raises(people.LastOwner, match="A studio needs an owner"):
            people.change_role(mine.pk, Role.STAFF)
        people.change_role(Membership.objects.get(person=wickerlark.staff).pk, Role.OWNER)
        people.remove(mine.pk)
    assert people.memberships_of(wickerlark.owner) == []


def test_another_studios_member_is_not_found(wickerlark: House, federkorn: House) -> None:
    with federkorn.enter():
        theirs = Membership.objects.get(person=federkorn.crew).pk
    with wickerlark.enter():
        with pytest.raises(Http404):
            people.remove(theirs)
        with pytest.raises(Http404):
            people.change_role(theirs, Role.OWNER)


def test_a_removed_persons_very_next_request_finds_nothing(wickerlark: House) -> None:
    browser = wickerlark.client("staff")
    page = wickerlark.url("stock:shelf")
    assert browser.get(page).status_code == 200
    with wickerlark.enter():
        people.remove(Membership.objects.get(person=wickerlark.staff).pk)
    assert browser.get(page).status_code == 404
