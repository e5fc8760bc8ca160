"""The kernel's own pages: profile, taxes, people, audit, front door, joining."""

from __future__ import annotations

import io
import re
from decimal import Decimal
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from studio.models import Invitation, Membership, Person, Studio, TaxRate
from studio.people import membership, taxes
from studio.tenancy.rights import Role
from tests.people import House

PROFILE = {
    "name": "Wickerlark Decor",
    "address": "Rope Walk 12",
    "email": "hello@wickerlark.example",
    "phone": "",
    "tax_number": "",
    "zone": "America/New_York",
    "units": "feet",
    "locale": "en_US",
    "currency": "usd",
    "deposit_percent": "40",
    "deposit_days": "5",
    "balance_days": "-14",
    "confirmed_by": "deposit",
    "remind_days": "7",
    "usual_uses": "25",
    "iban": "DE89 3704 0044 0532 0130 00",
    "bic": "abcddeffxxx",
    "offer_days": "7",
    "day_starts": "08:00",
    "day_ends": "20:00",
    "terms": "",
}


def png(width: int = 900, height: int = 300) -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", (width, height), (184, 72, 31)).save(out, "PNG")
    return SimpleUploadedFile("logo.png", out.getvalue(), "image/png")


PAGES = ("profile", "country", "money", "terms", "hours")


def test_an_owner_keeps_each_page_of_the_settings_without_touching_the_others(wickerlark: House) -> None:
    browser = wickerlark.client()
    changed = {**PROFILE, "name": "Wickerlark and daughters", "terms": "Pay in time.", "currency": "chf"}
    kept = ("name", "currency", "bic", "terms", "balance_days")
    seen = []
    for page in PAGES:
        assert browser.post(wickerlark.url(f"studio:{page}"), changed).status_code == 302
        with wickerlark.enter():
            studio = Studio.objects.get()
        seen.append([getattr(studio, name) for name in kept])
    name, money = "Wickerlark and daughters", "CHF"
    assert seen == [
        [name, "USD", "", "", 3],
        [name, money, "", "", 3],
        [name, money, "ABCDDEFFXXX", "", -14],
        [name, money, "ABCDDEFFXXX", "Pay in time.", -14],
        [name, money, "ABCDDEFFXXX", "Pay in time.", -14],
    ]


def test_staff_change_no_settings(wickerlark: House) -> None:
    for page in PAGES:
        answer = wickerlark.client("staff").post(wickerlark.url(f"studio:{page}"), PROFILE)
        assert answer.status_code == 403
    with wickerlark.enter():
        assert Studio.objects.get().address == ""


def test_every_page_of_the_settings_leads_to_every_other(wickerlark: House) -> None:
    browser = wickerlark.client()
    names = [
        "Brand",
        "Country",
        "Money",
        "Rates",
        "What clients see",
        "E-mails",
        "Terms",
        "Hours",
        "Website",
        "People",
        "Activity log",
    ]
    for page in ("studio:profile", "studio:money", "quoting:rates", "studio:people", "studio:audit"):
        shown = browser.get(wickerlark.url(page)).content.decode()
        tabs = shown.partition('aria-label="Settings"')[2].partition("</nav>")[0]
        assert re.findall(r">([^<]+)</a>", tabs) == names
        assert tabs.count('aria-current="page"') == 1


def test_what_is_usual_in_a_country_is_filled_in_and_not_saved(wickerlark: House) -> None:
    typed = {**PROFILE, "country": "DE", "usual": "1"}
    shown = wickerlark.client().post(wickerlark.url("studio:country"), typed).content.decode()
    for value in (
        'value="de_DE"',
        'value="EUR"',
        'value="Europe/Berlin" selected',
        'value="metric" selected',
    ):
        assert value in shown
    with wickerlark.enter():
        studio = Studio.objects.get()
    assert (studio.country, studio.locale, studio.zone) == ("", "en_US", "America/New_York")


@pytest.mark.parametrize(
    ("page", "field", "value", "said"),
    [
        ("country", "country", "XX", "Select a valid choice"),
        ("country", "zone", "Mars/Olympus", "Select a valid choice"),
        ("country", "currency", "XYZ", "no ISO 4217 currency"),
        ("country", "locale", "klingon", "known language and country"),
        ("money", "deposit_percent", "140", "less than or equal to 100"),
        ("money", "deposit_percent", "-1", "greater than or equal to 0"),
        ("money", "iban", "DE89 3704 0044 0532 0130 01", "mistyped"),
        ("money", "bic", "COBA", "is no BIC"),
        ("money", "balance_days", "-200", "greater than or equal to -180"),
        ("terms", "offer_days", "0", "greater than or equal to 1"),
        ("hours", "day_ends", "07:00", "must end after it starts"),
        ("profile", "name", "", "This field is required"),
        ("profile", "email", "not an address", "valid email"),
    ],
)
def test_a_wrong_setting_says_so_at_the_field_and_keeps_what_was_typed(
    wickerlark: House, page: str, field: str, value: str, said: str
) -> None:
    typed = {**PROFILE, "address": "Typed just now", "payment_words": "Typed just now", field: value}
    answer = wickerlark.client().post(wickerlark.url(f"studio:{page}"), typed)
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert said in shown
    if page in ("profile", "money"):
        assert "Typed just now" in shown
    with wickerlark.enter():
        studio = Studio.objects.get()
    assert (studio.address, studio.payment_words, studio.balance_days) == ("", "", 3)


def test_a_logo_is_re_encoded_and_shown_to_the_studio_only(wickerlark: House, federkorn: House) -> None:
    browser = wickerlark.client()
    browser.post(wickerlark.url("studio:profile"), {**PROFILE, "logo_upload": png()})
    shown = browser.get(wickerlark.url("studio:logo"))
    with Image.open(io.BytesIO(shown.content)) as logo:
        assert (logo.format, logo.size) == ("PNG", (480, 160))
    assert federkorn.client().get(wickerlark.url("studio:logo")).status_code == 404
    assert federkorn.client().get(federkorn.url("studio:logo")).status_code == 404


def test_a_logo_stays_when_the_profile_is_kept_without_one_and_goes_when_asked(wickerlark: House) -> None:
    browser = wickerlark.client()
    browser.post(wickerlark.url("studio:profile"), {**PROFILE, "logo_upload": png()})
    browser.post(wickerlark.url("studio:profile"), PROFILE)
    assert browser.get(wickerlark.url("studio:logo")).status_code == 200
    browser.post(wickerlark.url("studio:profile"), {**PROFILE, "logo_remove": "on"})
    assert browser.get(wickerlark.url("studio:logo")).status_code == 404


@pytest.mark.parametrize("content", [b"<svg onload='alert(1)'/>", b"\x89PNG\r\n\x1a\nrubbish"])
def test_a_fake_logo_is_refused_at_its_field(wickerlark: House, content: bytes) -> None:
    fake = SimpleUploadedFile("logo.png", content, "image/png")
    answer = wickerlark.client().post(wickerlark.url("studio:profile"), {**PROFILE, "logo_upload": fake})
    assert answer.status_code == 422
    assert "no picture that can be read" in answer.content.decode()


def test_taxes_are_kept_and_one_is_the_default(wickerlark: House) -> None:
    browser = wickerlark.client()
    for name, percent, default in (("Sales tax", "6.25", ""), ("City tax", "1.5", "on")):
        browser.post(
            wickerlark.url("studio:tax-add"),
            {"tax-name": name, "tax-percent": percent, "tax-is_default": default},
        )
    with wickerlark.enter():
        assert [(tax.name, tax.is_default) for tax in taxes.taxes()] == [
            ("City tax", True),
            ("Sales tax", False),
        ]
        city = TaxRate.objects.get(name="City tax")
    browser.post(wickerlark.url("studio:tax-retire", city.pk))
    with wickerlark.enter():
        assert [tax.name for tax in taxes.taxes()] == ["Sales tax"]


@pytest.mark.parametrize(
    ("percent", "said"), [("101", "less than or equal to 100"), ("-5", "greater than"), ("x", "number")]
)
def test_an_impossible_tax_is_refused_at_its_field(wickerlark: House, percent: str, said: str) -> None:
    answer = wickerlark.client().post(
        wickerlark.url("studio:tax-add"), {"tax-name": "Odd tax", "tax-percent": percent}
    )
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert "Odd tax" in answer.content.decode()


def test_an_owner_invites_and_sees_the_link_once(wickerlark: House) -> None:
    browser = wickerlark.client()
    page = wickerlark.url("studio:people")
    browser.post(page, {"email": "noor@example.test", "role": "crew"})
    first, second = browser.get(page).content.decode(), browser.get(page).content.decode()
    assert "/join/" in first
    assert "/join/" not in second
    assert "noor@example.test" in second


@pytest.mark.parametrize(
    ("email", "said"), [("crew@wickerlark.example", "already belongs to this studio"), ("x", "valid email")]
)
def test_a_wrong_invitation_says_so_at_the_field(wickerlark: House, email: str, said: str) -> None:
    answer = wickerlark.client().post(wickerlark.url("studio:people"), {"email": email, "role": "crew"})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert email in answer.content.decode()


def test_the_last_owner_is_told_why_they_stay(wickerlark: House) -> None:
    with wickerlark.enter():
        mine = Membership.objects.get(person=wickerlark.owner)
    answer = wickerlark.client().post(wickerlark.url("studio:member-remove", mine.pk), follow=True)
    assert "make someone else an owner first" in answer.content.decode()


def test_the_whole_way_in_by_invitation(wickerlark: House) -> None:
    with wickerlark.enter():
        sent = membership.invite(email="noor@example.test", role=Role.CREW, by=wickerlark.owner)
    guest = Client()
    first = guest.get(urlsplit(sent.address).path)
    assert first.status_code == 302
    assert re.fullmatch(r"/joining/[0-9a-f]{12}/", first["Location"]), "the token is gone from the address"
    page = guest.get(first["Location"]).content.decode()
    assert "Wickerlark Decor" in page
    assert "noor@example.test" in page
    assert guest.get("/account/signup/").status_code == 200
    noor = Person.objects.create_user("noor@example.test", name="Noor")
    guest.force_login(noor)
    # Signing in gives a new session; the cookie of the link stays.
    assert guest.post(first["Location"]).status_code == 302
    assert [m.studio.slug for m in membership.memberships_of(noor)] == ["wickerlark"]


def test_reading_an_invitation_changes_nothing(wickerlark: House) -> None:
    with wickerlark.enter():
        sent = membership.invite(email="crew2@example.test", role=Role.CREW, by=wickerlark.owner)
    guest = Client()
    guest.force_login(Person.objects.create_user("crew2@example.test", name="Cy"))
    address = guest.get(urlsplit(sent.address).path)["Location"]
    guest.get(address)
    guest.head(address)
    with wickerlark.enter():
        assert Invitation.objects.get().accepted_at is None
        assert Membership.objects.count() == 3


def test_nobody_signs_up_without_an_invitation(db: None) -> None:
    answer = Client().post(
        "/account/signup/",
        {
            "name": "X",
            "email": "x@example.test",
            "password1": "long-enough-pw-1",
            "password2": "long-enough-pw-1",
        },
    )
    assert not Person.objects.filter(email="x@example.test").exists()
    assert answer.status_code == 200


def test_the_front_door_leads_to_the_only_studio_or_to_a_choice(wickerlark: House, federkorn: House) -> None:
    browser = wickerlark.client("staff")
    assert browser.get("/")["Location"] == wickerlark.url("events:week")
    with federkorn.enter():
        Membership.objects.create(person=wickerlark.staff, role=Role.CREW)
    page = browser.get("/").content.decode()
    assert "Wickerlark Decor" in page
    assert "Atelier Federkorn" in page


def test_who_belongs_nowhere_is_told_what_to_do(db: None) -> None:
    browser = Client()
    browser.force_login(Person.objects.create_user("alone@example.test", name="Al"))
    assert "No studio yet" in browser.get("/").content.decode()


def test_the_trail_page_shows_deeds_and_sifts_them(wickerlark: House) -> None:
    browser = wickerlark.client()
    browser.post(wickerlark.url("studio:tax-add"), {"tax-name": "Sales tax", "tax-percent": "6.25"})
    page = browser.get(wickerlark.url("studio:audit"), {"kind": "tax rate"}).content.decode()
    assert "Sales tax" in page
    assert "Wickerlark Decor Owner" in page
    assert browser.get(wickerlark.url("studio:audit"), {"kind": "nonsense", "before": "x"}).status_code == 200


@pytest.mark.parametrize("page", ["studio:profile", "studio:money", "studio:people", "studio:audit"])
def test_settings_take_few_queries_however_many_rows_there_are(
    wickerlark: House, page: str, django_assert_max_num_queries: Any
) -> None:
    browser = wickerlark.client()
    address = wickerlark.url(page)
    browser.get(address)
    counts = []
    for rows in (1, 12):
        with wickerlark.enter():
            for number in range(rows):
                taxes.add_tax(name=f"Tax {rows} {number}", percent=Decimal(number), is_default=False)
                person = Person.objects.create_user(f"p{rows}-{number}@example.test", name=f"P {number}")
                Membership.objects.create(person=person, role=Role.CREW)
        with django_assert_max_num_queries(20) as queries:
            assert browser.get(address).status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1]
    assert counts[1] <= (15 if page != "studio:audit" else 20)


def test_every_answer_carries_the_headers_that_keep_it_safe(wickerlark: House) -> None:
    answer = wickerlark.client().get(wickerlark.url("studio:profile"))
    policy = answer["Content-Security-Policy"]
    assert "script-src 'self'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert answer["Cache-Control"] == "private, no-store"
    assert answer["X-Frame-Options"] == "DENY"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Referrer-Policy"] == "same-origin"


def test_a_post_without_its_token_is_refused(wickerlark: House) -> None:
    careful = Client(enforce_csrf_checks=True)
    careful.force_login(wickerlark.owner)
    answer = careful.post(wickerlark.url("studio:tax-add"), {"tax-name": "Sales tax", "tax-percent": "6"})
    assert answer.status_code == 403
