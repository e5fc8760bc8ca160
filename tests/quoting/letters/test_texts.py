"""Texts of e-mails to clients: ours in two languages, the studio's own, and what is refused."""

from __future__ import annotations

import re
from email import message_from_bytes, policy
from email.message import EmailMessage
from html import unescape
from typing import Any

import pytest
from babel.dates import format_skeleton, format_time
from django.core import mail
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.html import escape

from events.models import Client
from quoting import tasks
from quoting.letters import texts
from quoting.letters.our_texts import BODIES, SUBJECTS, WORDS
from quoting.letters.texts import BLOCKS, KNOWN, NEEDED, PLACEHOLDER
from quoting.letters.writing import Values, fill
from quoting.models import LetterKind, MailText, Offer
from quoting.offers.document import read_offer
from studio.measures.languages import Language
from studio.models import OutboxEntry
from tests.people import House
from tests.quoting.invoice_scenes import agreed
from tests.quoting.offer_scenes import offered

pytestmark = pytest.mark.django_db


def sent(house: House, task: str) -> EmailMessage:
    """The latest letter of that kind as the standard library reads it."""
    with house.enter():
        entry = OutboxEntry.objects.filter(task=f"quoting.{task}").latest("pk")
    mail.outbox.clear()
    getattr(tasks, task)(studio_id=house.studio.pk, entry_id=entry.pk)
    read = message_from_bytes(mail.outbox[-1].message().as_bytes(), policy=policy.default)
    assert isinstance(read, EmailMessage)
    return read


def plain(letter: EmailMessage) -> str:
    body = letter.get_body(("plain",))
    assert body is not None
    return str(body.get_content())


def rich(letter: EmailMessage) -> str:
    body = letter.get_body(("html",))
    assert body is not None
    return str(body.get_content())


def speak(house: House, language: str) -> None:
    with house.enter():
        Client.objects.update(language=language)


def post(house: House, **changed: str) -> Any:
    said = {
        "subject": "Your offer, {client}",
        "body": "Dear {client},\n\nhere it is: {link}\n\n{prices}",
        **changed,
    }
    return house.client().post(house.url("quoting:mail-text", "offer", "en"), said)


@pytest.mark.parametrize("language", Language)
@pytest.mark.parametrize("kind", LetterKind)
def test_ours_says_everything_in_each_language_with_known_placeholders_alone(
    kind: LetterKind, language: Language
) -> None:
    subject, body = SUBJECTS[language][kind], BODIES[language][kind]
    assert set(PLACEHOLDER.findall(subject)) <= set(KNOWN[kind]) - set(BLOCKS)
    assert set(NEEDED.get(kind, ())) <= set(PLACEHOLDER.findall(body)) <= set(KNOWN[kind])
    english = set(PLACEHOLDER.findall(BODIES[Language.ENGLISH][kind]))
    assert set(PLACEHOLDER.findall(body)) == english, "no language says less than another"
    assert WORDS[language].keys() == WORDS[Language.ENGLISH].keys()


def test_a_studio_s_own_text_is_sent_in_place_of_ours(wickerlark: House) -> None:
    assert post(wickerlark).status_code == 302
    made = offered(wickerlark)
    letter = sent(wickerlark, "mail_offer")
    assert letter["Subject"] == f"Your offer, {made.offer.client_name}"
    assert plain(letter).startswith(f"Dear {made.offer.client_name},\n")
    assert "/o/" in plain(letter)
    reset = wickerlark.client().post(wickerlark.url("quoting:mail-text-reset", "offer", "en"))
    assert reset.status_code == 302
    with wickerlark.enter():
        assert texts.find_text(LetterKind.OFFER, Language.ENGLISH).is_ours


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (
            {"body": "Dear {cleint}, {link}"},
            "There is no {cleint} here. You can use {client}, {event}, {studio},",
        ),
        ({"body": "Dear {client}, {payment} {link}"}, "There is no {payment} here."),
        ({"subject": "{prices}"}, "There is no {prices} here."),
        ({"body": "Dear {client, {link}"}, "A bracket stands alone."),
        ({"body": "Dear {client}"}, "{link} is missing: without it the client can't open the page."),
        ({"body": "Dear <b>{client}</b>, {link}"}, "Write plain text: <b> would be read as it stands."),
        ({"subject": "<script>alert(1)</script>"}, "Write plain text: <script>"),
        ({"body": ""}, "This field is required."),
    ],
)
def test_a_text_that_cannot_be_is_said_at_its_field_and_stays_as_typed(
    wickerlark: House, typed: dict[str, str], words: str
) -> None:
    answer = post(wickerlark, **typed)
    assert answer.status_code == 422
    assert words in unescape(answer.content.decode())
    assert all(escape(value) in answer.content.decode() for value in typed.values())
    with wickerlark.enter():
        assert not MailText.objects.exists()


def test_a_small_sign_that_is_no_tag_is_fine(wickerlark: House) -> None:
    assert post(wickerlark, body="Under 10 < 20 ft > no ladder.\n\n{link}").status_code == 302


def test_the_database_refuses_an_unknown_kind_and_a_second_row(wickerlark: House) -> None:
    with wickerlark.enter():
        MailText.objects.create(kind="offer", language="en", subject="a", body="b")
        for kind, language in (("offer", "en"), ("poem", "en"), ("offer", "xx")):
            with pytest.raises(IntegrityError), transaction.atomic():
                MailText.objects.create(kind=kind, language=language, subject="a", body="b")


def test_only_the_owner_writes_them(wickerlark: House) -> None:
    for page, args in (("mail-texts", ()), ("mail-text", ("offer", "de"))):
        address = wickerlark.url(f"quoting:{page}", *args)
        assert [wickerlark.client(who).get(address).status_code for who in ("owner", "staff")] == [200, 403]
    assert wickerlark.client().get(wickerlark.url("quoting:mail-text", "poem", "en")).status_code == 404


def test_what_fills_a_placeholder_is_not_filled_again() -> None:
    letter = fill(texts.Text("{client}", "{client}\n\n{words}", is_ours=False), Language.ENGLISH,
                  Values({"client": "{studio} <b>", "studio": "secret", "words": ""}))  # fmt: skip
    assert letter.subject == "{studio} <b>"
    assert [block.lines for block in letter.blocks] == [("{studio} <b>",)], "and what is empty isn't there"


def test_a_german_client_reads_german_with_days_as_cldr_writes_them(wickerlark: House) -> None:
    """Against Babel's CLDR data: skeleton yMMMEd and the short time of the locale de."""
    made = offered(wickerlark)
    speak(wickerlark, "de")
    letter = sent(wickerlark, "mail_offer")
    with wickerlark.enter():
        event = Offer.objects.get(pk=made.offer.pk).quote.event
    there = read_offer(made.offer.frozen).quote.event.ready_by.astimezone(event.tz)
    wanted = (
        f"{format_skeleton('yMMMEd', there, locale='de')}, {format_time(there.time(), 'short', locale='de')}"
    )
    assert wanted in plain(letter)
    assert letter["Subject"].strip() == f"{wickerlark.studio.name}: Ihr Angebot für {event.title}"
    assert '<html lang="de">' in rich(letter)
    assert "Angebot ansehen" in rich(letter)
    assert "Until" not in plain(letter)


@pytest.mark.parametrize("language", ["en", "de"])
def test_no_letter_to_a_client_is_signed_by_the_product(wickerlark: House, language: str) -> None:
    agreed(wickerlark)
    speak(wickerlark, language)
    letters = [sent(wickerlark, task) for task in ("mail_agreed", "mail_invoice")]
    for letter in letters:
        assert letter["From"].addresses[0].display_name == wickerlark.studio.name
        assert letter["Auto-Submitted"] == "auto-generated", "RFC 3834: nobody pressed a button for it"
        for said in (plain(letter), rich(letter)):
            assert "Billowbook" not in said
            assert not re.search(r"\{[a-z_]+\}", said), "every placeholder is filled"
        assert plain(letter).split("-- \n")[1].startswith(wickerlark.studio.name)


def test_an_offer_is_sent_by_hand_and_answered_to_the_studio(wickerlark: House) -> None:
    offered(wickerlark)
    letter = sent(wickerlark, "mail_offer")
    assert letter["Auto-Submitted"] is None
    assert letter["From"].addresses[0].display_name == wickerlark.studio.name
    assert (letter["Reply-To"] or "") == (wickerlark.studio.email or "")
    assert "Billowbook" not in plain(letter) + rich(letter)


def test_keeping_a_text_is_the_rule_s_and_not_only_the_form_s(wickerlark: House) -> None:
    with wickerlark.enter(), pytest.raises(ValidationError) as refusal:
        texts.keep_text(LetterKind.INVOICE, Language.GERMAN, subject="{link}", body="{name}")
    assert set(refusal.value.message_dict) == {"subject", "body"}
