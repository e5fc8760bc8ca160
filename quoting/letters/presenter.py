"""How a text reads, with an example's values in it."""

from __future__ import annotations

from decimal import Decimal

from quoting.letters import writing
from quoting.letters.our_texts import WORDS
from quoting.letters.texts import Text
from quoting.letters.writing import Values
from quoting.models import LetterKind
from studio.measures.languages import Language
from studio.models import Studio
from studio.money import amounts
from studio.outbox import mail


def example_letter(kind: LetterKind, language: Language, text: Text, studio: Studio) -> tuple[str, str]:
    """Subject and plain text, as a client called Maya would read it."""
    letter = writing.fill(text, language, _example(language, studio))
    written = mail.write("letter", letter.context(studio))
    return written.subject, written.plain


# Private


def _example(language: Language, studio: Studio) -> Values:
    words, day = (
        WORDS[language],
        "Sat, Dec 12, 2026" if language == Language.ENGLISH else "Sa., 12. Dez. 2026",
    )

    def money(units: int) -> str:
        return amounts.written(Decimal(units), studio.currency, studio.locale)

    said = {
        "client": "Maya", "event": "Maya is six" if language == Language.ENGLISH else "Maya wird sechs",
        "studio": studio.name, "date": day, "before": day, "due": day, "received": day, "valid_until": day,
        "place": "", "number": "12", "receipt": "7", "name": "Maya", "total": money(492), "amount": money(492),
        "deposit": words["deposit"].format(amount=money(197)), "left": words["nothing left"], "words": "",
        "options": words["options"], "hold": words["held"], "choice": "", "digest": "3f9a…",
        "credits": words["invoice of"].format(number="11", day=day),
        "call": words["call"].format(phone=studio.phone) if studio.phone else "",
    }  # fmt: skip
    rows = [("Garland", "", money(430)), ("Delivery", "", money(62))]
    return Values(
        said, prices=rows, payment=[f"{words['reference']}: RF18 5390 0754 7034"], link="https://…/o/…",
        verb=words["see the offer"],
    )  # fmt: skip
