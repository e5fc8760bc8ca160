"""Answering an offer: the client agrees, declines, or asks for a change.

Agreeing is one transaction: the answer is kept as evidence, the tentative hold is released, availability is checked
again, the event is promised, the deposit asked for, and the letters are written. What is gone by then undoes all of
it. Where the studio promises by the deposit, all of the bill is held tentatively instead, until the deposit is in.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal, InvalidOperation
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.booking import log
from events.jobs.commitment import BillLine, CannotCommit, PlannedWork, commit, keep
from events.models import Event, Status
from events.transfers.choices import suggest_transfers
from quoting.models import FINAL_ANSWERS, Answer, AnswerKind, Offer, OfferState, Quote, QuoteState
from quoting.offers import deposit, offering
from quoting.offers import document as offer_document
from quoting.offers.document_presenter import OfferShown, present_offer
from quoting.offers.studio_mail import post_to_studio
from quoting.variants import variants
from stock.catalogue.items import Material
from stock.holds import availability
from studio.measures.languages import in_office
from studio.models import entered_studio
from studio.money import amounts
from studio.outbox import entries
from studio.tenancy.access import require
from studio.tenancy.fair_share import MAILS, PAPERS
from studio.tenancy.rights import Right

STATEMENT: Final = gettext_lazy(
    "I have read this offer and its terms, and I agree to {variant}the price of {total}{options}."
)
SAME_PRESS: Final = timedelta(minutes=10)
"""Within this the same name from the same browser is a second press of one button, not a second person."""
LONGEST_WORDS: Final = 2000


@dataclass(frozen=True)
class PageShown:
    """What the page showed when the button was pressed."""

    version: int
    total: str
    digest: str
    chosen: tuple[str, ...] | None = None
    """Keys of the options that were switched on; None for those that the offer opens with."""


@dataclass(frozen=True)
class Visitor:
    """Who pressed it, as far as a server can tell."""

    address: str
    user_agent: str


class CannotAnswer(ValidationError):
    """An answer that wasn't taken; nothing has changed."""


class NotAsShown(CannotAnswer):
    """What the page carried isn't what was offered."""


class NoSuchChoice(CannotAnswer):
    """The offer has no such option, or nothing is left of it."""


class NoLongerOpen(CannotAnswer):
    """The offer lapsed, was replaced or withdrawn in the meantime."""


class AnsweredAlready(CannotAnswer):
    """Somebody else was first."""


class Gone(CannotAnswer):
    """What the offer needs is held for others. ``messages`` tells the client until when, where that is known.

    ``for_studio`` says what is short, for whom it is held, and from which event it could be transferred.
    """

    def __init__(self, said: list[str], for_studio: list[str]) -> None:
        super().__init__(said)
        self.for_studio = for_studio


def agree(offer_id: int, *, shown: PageShown, name: str, ticked: bool, visitor: Visitor) -> Answer:
    """Agree to the offer as shown, under a typed name.

    The second press of the same button gives the same answer again. Raises ``ValidationError`` with the field for a
    missing name or tick, a :class:`CannotAnswer` for everything else; nothing has changed then.
    """
    require(Right.ANSWER_OFFER)
    name = _checked_name(name, ticked)
    with transaction.atomic():
        offer = offering.locked(offer_id)
        earlier = _final_answer(offer)
        if earlier and _is_same_press(earlier, name, visitor, shown):
            return earlier
        _refuse_what_is_over(offer, earlier)
        price = _price_as_shown(offer, shown)
        answer = _keep(
            offer,
            AnswerKind.AGREED,
            name=name,
            visitor=visitor,
            statement=statement(offer, price.chosen),
            frozen=offer.frozen,
            chosen=list(price.chosen),
            total=price.total,
        )
        offering.close(offer, OfferState.AGREED, at=answer.at)
        _settle_variants(offer, price.chosen)
        Quote.objects.filter(pk=offer.quote_id).update(
            state=QuoteState.AGREED, priced_net=price.net, priced_total=price.total
        )
        held_until = deposit.request(offer)
        if held_until and not offer.quote.event.is_agreed:
            _keep_for(offer, held_until)
        else:
            promise(offer)
        _write_letters(offer, answer)
    return answer


def decline(offer_id: int, *, name: str, words: str, visitor: Visitor) -> Answer:
    """Decline the offer; declining twice changes nothing. Raises :class:`CannotAnswer`."""
    require(Right.ANSWER_OFFER)
    with transaction.atomic():
        offer = offering.locked(offer_id)
        earlier = _final_answer(offer)
        if earlier and earlier.kind == AnswerKind.DECLINED:
            return earlier
        _refuse_what_is_over(offer, earlier)
        answer = _keep(offer, AnswerKind.DECLINED, name=_cut(name, 120), words=_cut(words), visitor=visitor)
        offering.close(offer, OfferState.DECLINED, at=answer.at)
        offering.back_to_sketch(offer)
        _tell_studio(offer, answer)
    return answer


def ask_for_change(offer_id: int, *, name: str, words: str, visitor: Visitor) -> Answer:
    """Pass the client's wish on to the studio; the offer stays open. The same words sent twice are one wish.

    Raises ``ValidationError`` with the field where nothing was written, :class:`CannotAnswer`.
    """
    require(Right.ANSWER_OFFER)
    if not words.strip():
        raise ValidationError({"words": _("Tell us what you would like to change.")})
    with transaction.atomic():
        offer = offering.locked(offer_id)
        _refuse_what_is_over(offer, _final_answer(offer))
        same = offer.answers.filter(
            kind=AnswerKind.CHANGE, words=_cut(words), at__gte=timezone.now() - SAME_PRESS
        ).first()
        if same:
            return same
        answer = _keep(offer, AnswerKind.CHANGE, name=_cut(name, 120), words=_cut(words), visitor=visitor)
        _tell_studio(offer, answer)
    return answer


def promise(offer: Offer) -> None:
    """Confirm the event with everything that was agreed for it. Raises :class:`Gone` with what is no longer free."""
    bill, work, height_m = _agreed(offer)
    try:
        with in_office():
            commit(offer.quote.event_id, bill=bill, work=work, key=f"offer-{offer.pk}", height_m=height_m)
    except CannotCommit as refusal:
        raise _gone(offer, bill, refusal) from refusal


def statement(offer: Offer, chosen: Collection[str] | None = None) -> str:
    """The sentence that is ticked, with the total and the options as the page writes them."""
    return statement_beside(present_offer(offer.frozen, chosen))


def statement_beside(shown: OfferShown) -> str:
    """The same, where the offer is in words already."""
    words = ""
    if shown.options:
        with_these = ", ".join(option.label for option in shown.options_in)
        without = ", ".join(option.label for option in shown.options_out)
        words = "".join(
            [
                _(", including %(names)s") % {"names": with_these} if with_these else "",
                _("; not included: %(names)s") % {"names": without} if without else "",
            ]
        )
    variant = _("“%(name)s” at ") % {"name": shown.variant} if shown.variant else ""
    return str(STATEMENT).format(variant=variant, total=shown.total, options=words)


def agreed_pdf_key(offer: Offer) -> str:
    """Under which the worker is told to put on paper what was agreed."""
    return f"offer-{offer.pk}-agreed-pdf"


def tell_studio_of_failure(offer_id: int, *, name: str, reasons: list[str]) -> None:
    """A client wanted to agree and couldn't: the studio is told, once a day, in a transaction of its own."""
    require(Right.ANSWER_OFFER)
    offer = Offer.objects.select_related("quote__event").get(pk=offer_id)
    key = f"offer-{offer.pk}-gone-{timezone.now():%Y%m%d}"
    with in_office():
        post_to_studio("offer_gone", offer, key, {"name": name, "reasons": reasons})


# --- Private --------------------------------------------------------------------------------------------------


def _checked_name(name: str, ticked: bool) -> str:
    faults: dict[str, str] = {}
    name = " ".join(name.split())
    if not name:
        faults["name"] = _("Enter your name. It is your signature under the offer.")
    elif len(name) > 120:
        faults["name"] = _("A name has 120 characters at most.")
    if not ticked:
        faults["ticked"] = _("Tick this to agree.")
    if faults:
        raise ValidationError(dict(faults))
    return name


def _final_answer(offer: Offer) -> Answer | None:
    return offer.answers.filter(kind__in=FINAL_ANSWERS).first()


def _is_same_press(earlier: Answer, name: str, visitor: Visitor, shown: PageShown) -> bool:
    return (
        earlier.kind == AnswerKind.AGREED
        and earlier.name.casefold() == name.casefold()
        and earlier.user_agent == _cut(visitor.user_agent, 400)
        and earlier.address == visitor.address[:45]
        and (shown.chosen is None or set(shown.chosen) == set(earlier.chosen))
        and timezone.now() - earlier.at < SAME_PRESS
    )


def _refuse_what_is_over(offer: Offer, earlier: Answer | None) -> None:
    if earlier and earlier.kind == AnswerKind.AGREED:
        raise AnsweredAlready(
            _("%(name)s has agreed to this offer already. Nothing more is needed.") % {"name": earlier.name}
        )
    if earlier:
        raise AnsweredAlready(_("This offer was declined already. Ask the studio for a new one."))
    said = {
        OfferState.LAPSED: _("This offer has expired. Ask the studio for a new one."),
        OfferState.REPLACED: _("This offer was replaced by a newer one. Ask the studio for its link."),
        OfferState.WITHDRAWN: _("The studio has withdrawn this offer."),
    }
    if offer.standing in said:
        raise NoLongerOpen(said[offer.standing])
    if offer.quote.event.is_off:
        raise NoLongerOpen(_("This event was called off. Contact the studio if you still want it."))


def _price_as_shown(offer: Offer, shown: PageShown) -> offer_document.ChosenPrice:
    """The price of what was chosen, if that is the price that the page showed."""
    try:
        price = offer_document.price_choice(offer_document.read_offer(offer.frozen).quote, shown.chosen)
    except offer_document.NotAChoice as fault:
        raise NoSuchChoice(str(fault)) from None
    try:
        total = Decimal(shown.total)
    except InvalidOperation:
        total = Decimal("NaN")
    if shown.version != offer.version or shown.digest != offer.digest or not offer.is_intact:
        raise NotAsShown(_("This page is out of date. Read the offer below, then agree."))
    if total != price.total:
        raise NotAsShown(
            _(
                "The total on the page doesn't match your options. It is corrected below; check it, then agree."
            )
        )
    return price


def _keep(offer: Offer, kind: AnswerKind, *, visitor: Visitor, **said: object) -> Answer:
    return Answer.objects.create(
        offer=offer,
        kind=kind,
        at=timezone.now(),
        address=visitor.address[:45],
        user_agent=_cut(visitor.user_agent, 400),
        version=offer.version,
        currency=offer.currency,
        digest=offer.digest,
        **{"total": offer.total, **said},
    )


def _settle_variants(offer: Offer, chosen: Collection[str]) -> None:
    """Let the quote have the version that was picked, and the event's history say which that is."""
    document = offer_document.read_offer(offer.frozen).quote
    picked = offer_document.picked(document, chosen)
    if picked.source:
        variants.settle(offer.quote, picked.source)
    if picked.variant:
        every = len(offer_document.every_variant(document))
        log.record(offer.quote.event, f"The client picked “{picked.variant}”, one of {every} versions.")


def _agreed(offer: Offer) -> tuple[list[BillLine], list[PlannedWork], Decimal | None]:
    """Bill, work and greatest height [m] of what was agreed for the event, here and in its other quotes."""
    agreed = Answer.objects.filter(
        kind=AnswerKind.AGREED, offer__quote__event=offer.quote.event_id, offer__state=OfferState.AGREED
    ).order_by("offer_id")
    bill: list[BillLine] = []
    work: list[PlannedWork] = []
    highest_m = 0.0
    for text, chosen in agreed.values_list("frozen", "chosen"):
        own = offer_document.studio_part(offer_document.read_offer(text).quote, chosen)
        bill += [
            BillLine(line.code, line.label, line.quantity, line.part, line.group, spare=line.spare)
            for line in own.bill
            if not line.on_site
        ]
        work += [PlannedWork(task.task, Decimal(str(task.minutes))) for task in own.work]
        highest_m = max(highest_m, own.height_m)
    return bill, work, Decimal(str(highest_m)) if highest_m else None


def _keep_for(offer: Offer, until: datetime) -> None:
    bill, *_ = _agreed(offer)
    try:
        with in_office():
            keep(offer.quote.event_id, bill=bill, key=f"offer-{offer.pk}", until=until)
    except CannotCommit as refusal:
        raise _gone(offer, bill, refusal) from refusal


def _gone(offer: Offer, bill: Sequence[BillLine], refusal: CannotCommit) -> Gone:
    """Why the event can't be promised; a tentative hold in the way ends at its date, so that is said too."""
    event = offer.quote.event
    with offering.as_studio(), in_office():
        stands = availability.availability(
            [Material(line.code, line.quantity) for line in bill], event.hold_window()
        )
        short = [one.code for one in stands if one.item and one.item.is_reusable and one.short]
        ways_out = suggest_transfers(event, short)
    studio = entered_studio()
    told = offering.tentative_hold_words(short, event, studio, names=False)
    with in_office():
        known = offering.tentative_hold_words(short, event, studio, names=True)
    after = [_("After that it may be free again.")] if told else []
    ways_out = [words for words in ways_out if words not in refusal.messages]
    return Gone([*told, *after], [*refusal.messages, *known, *ways_out])


def _write_letters(offer: Offer, answer: Answer) -> None:
    entries.write("quoting.render_agreed_pdf", share=PAPERS, key=agreed_pdf_key(offer), offer_id=offer.pk)
    if offer.client_email:
        entries.write(
            "quoting.mail_agreed", share=MAILS, key=f"offer-{offer.pk}-agreed-mail", answer_id=answer.pk
        )
    _tell_studio(offer, answer)


def _tell_studio(offer: Offer, answer: Answer) -> None:
    with in_office():
        _post_answer(offer, answer)


def _post_answer(offer: Offer, answer: Answer) -> None:
    said: dict[str, object] = {
        "name": answer.name,
        "words": answer.words,
        "total": amounts.written(answer.total, answer.currency, entered_studio().locale),
    }
    if answer.kind == AnswerKind.AGREED:
        shown = present_offer(offer.frozen, answer.chosen)
        picked = [f"Version: {shown.variant}"] if shown.variant else []
        said["options"] = picked + [
            f"{option.label}: {'yes' if option.on else 'no'}" for option in shown.options
        ]
        said["promised"] = Event.objects.filter(pk=offer.quote.event_id, status=Status.CONFIRMED).exists()
    post_to_studio(f"offer_{answer.kind}", offer, f"answer-{answer.pk}", said)


def _cut(words: str, longest: int = LONGEST_WORDS) -> str:
    return words.strip().replace("\x00", "")[:longest]
