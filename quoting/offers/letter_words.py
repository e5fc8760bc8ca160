"""What the letters about an offer say: values for the placeholders of their texts, read from the frozen document."""

from __future__ import annotations

from collections.abc import Collection
from zoneinfo import ZoneInfo

from events.models import Event
from quoting.letters import writing
from quoting.letters.our_texts import WORDS
from quoting.letters.writing import Letter, Values
from quoting.models import Answer, LetterKind, Offer
from quoting.offers import keeping
from quoting.offers.document import OfferDocument, read_offer
from quoting.offers.document_presenter import OfferShown, present_offer
from studio.measures.languages import Language, language_of, speaking
from studio.models import Studio, entered_studio


def offer_letter(offer: Offer, address: str) -> Letter:
    """The letter with which an offer is sent; ``address`` is the link in it."""
    language = _language(offer)
    with speaking(language):
        return _offer_letter(offer, address, language)


def agreed_letter(answer: Answer, address: str) -> Letter:
    """The letter that confirms what was agreed."""
    offer = answer.offer
    language = _language(offer)
    with speaking(language):
        return _agreed_letter(answer, address, language)


def of_event(event: Event, client: str, studio: Studio, language: Language) -> dict[str, str]:
    """What every letter about an event says."""
    call = WORDS[language]["call"].format(phone=studio.phone) if studio.phone else ""
    return {"client": client, "event": event.title, "studio": studio.name, "call": call}


# Private


def _offer_letter(offer: Offer, address: str, language: Language) -> Letter:
    shown, words = _words(offer, language)
    said = WORDS[language]
    words |= {
        "valid_until": _valid_until(read_offer(offer.frozen), language),
        "hold": said["held" if keeping.find_kept(offer).is_on_hold else "not held"],
        "options": said["options"] if shown.options else "",
        "words": "\n".join(shown.words),
    }
    values = Values(words, prices=_prices(shown), link=address, verb=said["see the offer"])
    return writing.write_letter(LetterKind.OFFER, language, values)


def _agreed_letter(answer: Answer, address: str, language: Language) -> Letter:
    offer = answer.offer
    shown, words = _words(offer, language, answer.chosen)
    said = WORDS[language]
    words |= {
        "name": answer.name,
        "digest": answer.digest,
        "deposit": said["deposit"].format(amount=shown.deposit) if shown.has_deposit else "",
        "choice": _choice(shown, language),
    }
    values = Values(words, link=address, verb=said["see what was agreed"])
    return writing.write_letter(LetterKind.AGREED, language, values)


def _language(offer: Offer) -> Language:
    return language_of(offer.quote.event.client.language, entered_studio().locale)


def _words(
    offer: Offer, language: Language, chosen: Collection[str] | None = None
) -> tuple[OfferShown, dict[str, str]]:
    """The offer in words, and what every letter about it says."""
    shown, event = present_offer(offer.frozen, chosen), read_offer(offer.frozen).quote.event
    document = read_offer(offer.frozen)
    zone = ZoneInfo(event.zone or document.studio.zone)
    return shown, {
        "client": shown.client,
        "event": shown.event_title,
        "studio": shown.studio.name,
        "date": writing.moment_words(event.ready_by, zone, language, document.quote.locale),
        "place": shown.event_place,
        "number": shown.reference,
        "total": _total(shown) if chosen is None else shown.total,
    }


def _total(shown: OfferShown) -> str:
    """The total; of several versions to pick from, the smallest and the largest."""
    if len(shown.variants) < 2:
        return shown.total
    return f"{shown.variants[0].total} – {shown.variants[-1].total}"


def _valid_until(document: OfferDocument, language: Language) -> str:
    zone = ZoneInfo(document.studio.zone)
    return writing.moment_words(document.expires_at, zone, language, document.quote.locale)


def _prices(shown: OfferShown) -> list[writing.Row]:
    """The lines as clients read them everywhere, and the taxes that come on top; of several versions their totals."""
    if shown.variants:
        return [(one.name, one.differs, one.total) for one in shown.variants]
    lines = [(line.label, line.detail, line.amount) for line in shown.lines]
    taxes = [(f"{tax.name} {tax.percent}", "", tax.amount) for tax in shown.taxes]
    return lines if shown.inclusive else [*lines, *taxes]


def _choice(shown: OfferShown, language: Language) -> str:
    """Which version and options are in what was agreed, and which options aren't."""
    said = WORDS[language]
    picked = [shown.variant] if shown.variant else []
    groups = (
        ("included", picked + [option.label for option in shown.options_in]),
        ("not included", [option.label for option in shown.options_out]),
    )
    return "\n".join(said[key].format(names=", ".join(names)) for key, names in groups if names)
