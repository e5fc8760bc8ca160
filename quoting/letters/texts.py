"""The texts of e-mails to clients: the studio's own where it wrote one, else ours; checked before they are kept."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from django.core.exceptions import ValidationError

from quoting.letters.our_texts import BODIES, SUBJECTS
from quoting.models import LetterKind, MailText
from studio.measures.languages import Language
from studio.tenancy.access import require
from studio.tenancy.rights import Right

COMMON: Final = ("client", "event", "studio")
KNOWN: Final[dict[LetterKind, tuple[str, ...]]] = {
    LetterKind.OFFER: (
        *COMMON, "date", "place", "number", "words", "prices", "total", "options", "link", "valid_until", "hold",
    ),
    LetterKind.AGREED: (
        *COMMON, "date", "place", "number", "name", "total", "deposit", "choice", "link", "digest",
    ),
    LetterKind.INVOICE: (*COMMON, "number", "due", "amount", "payment"),
    LetterKind.CREDIT: (*COMMON, "number", "credits", "amount"),
    LetterKind.REMINDER: (*COMMON, "number", "due", "amount", "payment"),
    LetterKind.RECEIPT: (*COMMON, "number", "receipt", "received", "amount", "left"),
    LetterKind.REFUND: (*COMMON, "number", "receipt", "received", "amount", "left"),
    LetterKind.CALLED_OFF: (*COMMON, "date", "call"),
    LetterKind.MOVED: (*COMMON, "date", "before", "call"),
}  # fmt: skip
"""Placeholders of each kind."""
NEEDED: Final = {
    LetterKind.OFFER: ("link",), LetterKind.AGREED: ("link",), LetterKind.INVOICE: ("payment",),
    LetterKind.REMINDER: ("payment",),
}  # fmt: skip
"""Without these the client could neither answer nor pay."""
BLOCKS: Final = ("words", "prices", "options", "deposit", "choice", "link", "payment")
"""What is more than a word or two: it stands in the text, never in the subject."""
PLACEHOLDER: Final = re.compile(r"\{([^{}]*)\}")
MARKUP: Final = re.compile(r"</?[A-Za-z!][^<>]*>")


@dataclass(frozen=True, slots=True)
class Text:
    """Subject and text of one kind in one language. ``is_ours``: the studio didn't write it."""

    subject: str
    body: str
    is_ours: bool


def find_text(kind: LetterKind, language: Language) -> Text:
    """What is sent. One query."""
    own = MailText.objects.filter(kind=kind, language=language).first()
    return Text(own.subject, own.body, is_ours=False) if own else our_text(kind, language)


def our_text(kind: LetterKind, language: Language) -> Text:
    """Ours."""
    body = re.sub(r"(?<!\n)\n(?!\n)", " ", BODIES[language][kind])
    return Text(SUBJECTS[language][kind], body, is_ours=True)


def find_own() -> set[tuple[str, str]]:
    """Kind and language of every text that the studio wrote itself."""
    require(Right.EDIT_STUDIO)
    return set(MailText.objects.values_list("kind", "language"))


def keep_text(kind: LetterKind, language: Language, *, subject: str, body: str) -> None:
    """Keep the studio's own text. Raises ``ValidationError`` at the field."""
    require(Right.EDIT_STUDIO)
    subject, body = " ".join(subject.split()), body.replace("\r\n", "\n").strip()
    faults = {
        "subject": [*_faults(subject, [name for name in KNOWN[kind] if name not in BLOCKS])],
        "body": [*_faults(body, KNOWN[kind]), *_missing(kind, body)],
    }
    if any(faults.values()):
        raise ValidationError({field: words for field, words in faults.items() if words})
    MailText.objects.update_or_create(
        kind=kind, language=language, defaults={"subject": subject, "body": body}
    )


def reset_text(kind: LetterKind, language: Language) -> None:
    """Send ours again."""
    require(Right.EDIT_STUDIO)
    MailText.objects.filter(kind=kind, language=language).delete()


def refuse_markup(text: str) -> None:
    """Raise ``ValidationError`` for HTML in what is sent as plain text."""
    found = MARKUP.search(text)
    if found:
        raise ValidationError(f"Write plain text: {found[0][:40]} would be read as it stands.")


# Private


def _faults(text: str, known: list[str] | tuple[str, ...]) -> list[str]:
    if not text:
        return ["Enter a text."]
    found = MARKUP.search(text)
    faults = [f"Write plain text: {found[0][:40]} would be read as it stands."] if found else []
    listed = ", ".join(f"{{{name}}}" for name in known)
    unknown = [name for name in dict.fromkeys(PLACEHOLDER.findall(text)) if name not in known]
    if unknown:
        faults.append(f"There is no {{{unknown[0][:40]}}} here. You can use {listed}.")
    if re.search(r"[{}]", PLACEHOLDER.sub("", text)):
        faults.append(f"A bracket stands alone. You can use {listed}.")
    return faults


def _missing(kind: LetterKind, body: str) -> list[str]:
    there = set(PLACEHOLDER.findall(body))
    return [
        f"{{{name}}} is missing: without it the client can't {'pay' if name == 'payment' else 'open the page'}."
        for name in NEEDED.get(kind, ())
        if name not in there
    ]
