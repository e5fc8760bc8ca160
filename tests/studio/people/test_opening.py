"""A studio is opened in the browser: by an invitation, once, by whom it was made for, with its country's ways."""

from __future__ import annotations

from io import StringIO
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.core import signing
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.test import Client

from quoting.models import DesignTemplate
from quoting.tasks import bring_in_starters
from studio import tenancy
from studio.models import Membership, OutboxEntry, Person, Studio
from studio.people import membership, opening
from studio.people.opening import InvitationToOpen
from studio.tenancy.rights import Role
from tests.people import House

pytestmark = pytest.mark.django_db

NORA = "nora@kelp.example"


@pytest.fixture
def nora() -> Person:
    return Person.objects.create_user(NORA, "paper-lanterns-9", name="Nora Kelp")


def invited(email: str = NORA) -> str:
    return urlsplit(opening.invite_to_open(email)).path


def studios_of(person: Person) -> list[Studio]:
    return [each.studio for each in membership.memberships_of(person)]


def browser_of(person: Person, path: str) -> Client:
    browser = Client()
    browser.force_login(person)
    assert browser.get(path).headers["Location"] == "/opening/"
    return browser


def test_an_invited_person_opens_a_studio_and_owns_it(nora: Person) -> None:
    answer = browser_of(nora, invited()).post(
        "/opening/", {"name": "Kelp & Sons", "country": "DE", "zone": "Europe/Berlin"}
    )
    assert answer.headers["Location"] == "/s/kelp-sons/settings/"
    (studio,) = studios_of(nora)
    assert (studio.country, studio.currency, studio.units, studio.locale, studio.zone) == (
        "DE", "EUR", "metric", "de_DE", "Europe/Berlin",
    )  # fmt: skip
    assert studio.first_steps_open
    with tenancy.entered(studio.pk, slug=studio.slug, role=Role.OWNER, person_id=nora.pk):
        assert Membership.objects.get().role == Role.OWNER


def test_the_worker_brings_the_starter_designs_into_a_new_studio(nora: Person) -> None:
    browser_of(nora, invited()).post("/opening/", {"name": "Kelp", "country": "US"})
    (studio,) = studios_of(nora)
    with tenancy.entered(studio.pk, slug=studio.slug, role=Role.OWNER, person_id=nora.pk):
        (entry,) = OutboxEntry.objects.all()
    bring_in_starters.run(studio_id=studio.pk, entry_id=entry.pk)
    with tenancy.entered(studio.pk, slug=studio.slug, role=Role.OWNER, person_id=nora.pk):
        assert DesignTemplate.objects.filter(is_starter=True).count() == 12


def test_an_invitation_opens_one_studio(nora: Person) -> None:
    path = invited()
    browser_of(nora, path).post("/opening/", {"name": "Kelp 1", "country": "US"})
    answer = browser_of(nora, path).post("/opening/", {"name": "Kelp 2", "country": "US"})
    assert answer.status_code == 422
    assert "already used" in answer.content.decode()
    assert "Kelp 2" in answer.content.decode()
    assert len(studios_of(nora)) == 1


def test_an_invitation_is_for_its_own_address_alone(wickerlark: House) -> None:
    answer = browser_of(wickerlark.crew, invited()).post("/opening/", {"name": "Mine", "country": "US"})
    assert answer.status_code == 422
    assert NORA in answer.content.decode()
    assert [studio.slug for studio in studios_of(wickerlark.crew)] == ["wickerlark"]


def test_a_name_that_another_studio_has_gets_a_number_in_its_address(nora: Person, wickerlark: House) -> None:
    answer = browser_of(nora, invited()).post("/opening/", {"name": "Wickerlark", "country": "US"})
    assert answer.headers["Location"] == "/s/wickerlark-2/settings/"


@pytest.mark.parametrize("salt", ["", "other"])
def test_a_made_up_invitation_opens_nothing(nora: Person, salt: str) -> None:
    # Signed only now: a test must have the same name in every process.
    token = signing.dumps({"email": NORA, "key": "k"}, salt=salt) if salt else "made-up"
    browser = Client()
    browser.force_login(nora)
    assert browser.get(f"/open/{token}/").status_code == 404
    assert browser.post("/opening/", {"name": "Mine", "country": "US"}).status_code == 404
    assert studios_of(nora) == []


def test_an_invitation_ends_after_seven_days(monkeypatch: pytest.MonkeyPatch) -> None:
    path = invited()
    assert Client().get(path).status_code == 302
    monkeypatch.setattr(opening, "INVITED_DAYS", 0)
    assert Client().get(path).status_code == 404


def test_a_country_that_is_none_is_refused_at_its_field_and_the_name_stays(nora: Person) -> None:
    answer = browser_of(nora, invited()).post("/opening/", {"name": "Kelp", "country": "QQ"})
    assert answer.status_code == 422
    assert 'value="Kelp"' in answer.content.decode()
    assert studios_of(nora) == []


def test_a_zone_of_another_country_gives_way_to_the_countrys_own(nora: Person) -> None:
    browser_of(nora, invited()).post("/opening/", {"name": "Kelp", "country": "FR", "zone": "Asia/Tokyo"})
    assert studios_of(nora)[0].zone == "Europe/Paris"


def test_anybody_opens_a_studio_only_where_the_installation_says_so(nora: Person, settings: Any) -> None:
    def opened() -> Studio:
        return opening.open_studio(owner=nora, name="Kelp", country="US", zone="", invitation=None)

    with pytest.raises(ValidationError, match="invitation"):
        opened()
    assert Client().get("/opening/").status_code == 404
    settings.OPEN_SIGN_UP = True
    assert opened().slug == "kelp"
    assert Client().get("/account/signup/").status_code == 200
    browser = Client()
    browser.force_login(Person.objects.create_user("tam@reed.example", "paper-lanterns-9", name="Tam"))
    assert "Open a studio" in browser.get("/").content.decode()


def test_one_person_opens_three_studios_a_day(nora: Person) -> None:
    for number in range(3):
        key = InvitationToOpen(NORA, f"key-{number}")
        opening.open_studio(owner=nora, name="Kelp", country="US", zone="", invitation=key)
    with pytest.raises(ValidationError, match="tomorrow"):
        opening.open_studio(
            owner=nora, name="Kelp", country="US", zone="", invitation=InvitationToOpen(NORA, "key-4")
        )


def test_an_invited_person_without_an_account_may_make_one() -> None:
    browser = Client()
    assert "password1" not in browser.get("/account/signup/").content.decode()
    browser.get(invited())
    page = browser.get("/opening/").content.decode()
    assert "Create an account" in page
    assert "email=nora%40kelp.example" in page
    form = browser.get("/account/signup/", {"next": "/opening/", "email": NORA}).content.decode()
    assert f'value="{NORA}"' in form


def test_somebody_invited_who_has_no_studio_is_led_to_open_it(nora: Person) -> None:
    assert browser_of(nora, invited()).get("/").headers["Location"] == "/opening/"


def test_the_command_prints_an_address_that_works() -> None:
    out = StringIO()
    call_command("invite_owner", NORA, stdout=out)
    assert Client().get(urlsplit(out.getvalue().split()[0]).path).status_code == 302
    with pytest.raises(CommandError):
        call_command("invite_owner", "no address", stdout=out)
