"""Offering: freezes a quote as a version, holds its pieces in stock, makes its link, and sends it.

Rows are locked in one order everywhere in this room: quote, offer, event, then stock.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import Final

from django.db import transaction
from django.db.models import Max
from django.http import Http404
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from msgspec import structs

from events.booking import stages
from events.models import Event, Stage
from quoting.before_sending.open_points import NO_WORD, Word, answer_for
from quoting.before_sending.presenter import vouched_words
from quoting.models import Offer, OfferState, Quote, QuoteState
from quoting.offers import document as offer_document
from quoting.offers import freezing, with_stills
from quoting.offers.document import QuoteDocument
from quoting.offers.needs import most_needed, whole_needs
from quoting.offers.refusals import (
    CannotHoldAll,
    CannotOffer,
    UnheldVariant,
    checked_words,
    refuse_unplanned,
    refuse_unseen,
    refuse_what_cannot_be,
)
from quoting.quotes import sheet
from quoting.variants import variants
from stock.catalogue import items as catalogue
from stock.catalogue.items import Material
from stock.holds import availability, holds, tentative_holds
from stock.holds.answers import Shortfall
from studio import tenancy
from studio.measures import times
from studio.models import LinkPurpose, Studio, dates, entered_studio
from studio.outbox import entries
from studio.people import public_links
from studio.tenancy.access import require
from studio.tenancy.fair_share import MAILS, PAPERS
from studio.tenancy.links import absolute
from studio.tenancy.rights import Right, Role

LINK_OUTLIVES: Final = timedelta(days=60)
"""How long a link still tells what became of an offer, after it lapsed and after the event is over."""


@dataclass(frozen=True)
class Offered:
    """What came of offering."""

    offer: Offer
    address: str
    """The client's link with its token, told this once; empty when the offer had been made already."""
    made: bool
    """False for the second press of the same button: the offer is the one that the first press made."""
    short: tuple[str, ...]
    """Pieces that couldn't be held because they are promised elsewhere, a sentence each."""


def offer(
    quote: Quote,
    *,
    after_version: int | None = None,
    seen_sketch: int | None = None,
    seen_beside: str | None = None,
    word: Word = NO_WORD,
    words: str = "",
    without_hold: bool = False,
    is_trial: bool = False,
) -> Offered:
    """Freeze ``quote`` with all of its versions as its next offer and send it; an earlier open one is replaced.

    What can't be held isn't sent: the letter would say that it is on hold. Where that is so of one of several versions,
    nothing is made (:class:`CannotHoldAll`) unless ``without_hold`` says to go on: the others can be offered alone.
    ``seen_beside`` are the other versions that the page showed, written by
    :func:`~quoting.variants.variants.beside_words`.

    ``after_version`` is the newest version that the page knew of. Pressed twice, the second press gives the offer of
    the first: without ``after_version`` whenever the content is the same, with it when a version has come since.
    ``seen_sketch`` is the sketch that the page showed: nobody sends a client what they haven't seen themselves.
    ``words`` are the studio's own to this client. Of a trial the worker hears nothing: whoever asks for one takes it
    back. ``word`` is the owner's for what is open about the price. Raises :class:`CannotOffer`, and
    :class:`~quoting.before_sending.open_points.NotSettled` for what is open and nobody answers for; nothing has
    changed then.
    """
    require(Right.OFFER)
    with transaction.atomic():
        rows = _locked_set(quote.pk)
        refuse_unseen(rows, quote.pk, seen_sketch, seen_beside)
        lead = rows[0]
        studio = _locked_studio()
        now = timezone.now()
        reads = [sheet.read_sheet(each, studio) for each in rows]
        copy = structs.replace(freezing.copy_of_set(reads), words=checked_words(words))
        latest = lead.offers.order_by("-version").first()
        refuse_what_cannot_be(lead, copy, now)
        refuse_unplanned(reads, copy)
        until = _valid_until(studio, lead.event, now)
        number, version = _next_reference(latest)
        frozen = offer_document.freeze_offer(
            copy, studio=studio, number=number, version=version, offered_at=now, expires_at=until
        )
        if latest and _same_press(latest, frozen, after_version):
            return Offered(latest, "", made=False, short=())
        stands = answer_for(reads, word)
        for earlier in lead.offers.select_for_update(no_key=True).filter(state=OfferState.OPEN):
            close(earlier, OfferState.REPLACED, at=now)
        made = _kept(lead, copy, frozen, (number, version), vouched_words(stands, word.reason), (now, until))
        short = _hold_tentatively(made, lead.event)
        if short and copy.others and not (without_hold or is_trial):
            raise CannotHoldAll(_unheld_variants(copy, made, lead.event))
        Quote.objects.filter(pk=lead.pk).update(state=QuoteState.OFFERED)
        _reach(lead.event, Stage.OFFERED)
        address = _make_link(made, lead.event)
        if not is_trial:
            _have_it_sent(made, rows, short)
    return Offered(made, address, made=True, short=short)


def offers_of(quote: Quote) -> list[Offer]:
    """Every version of a quote, newest first, without the frozen texts."""
    require(Right.SEE_QUOTES)
    return list(quote.offers.defer("frozen").order_by("-version"))


def find(offer_id: int) -> Offer:
    """An offer of this studio with its quote and event; 404 for any other."""
    require(Right.SEE_QUOTES)
    found = (
        Offer.objects.select_related("quote__event", "offered_by", "tentative_hold")
        .filter(pk=offer_id)
        .first()
    )
    if found is None:
        raise Http404
    return found


def new_link(offer_id: int) -> str:
    """A fresh link to the offer, told this once; every earlier one is closed. Raises :class:`CannotOffer`."""
    require(Right.OFFER)
    with transaction.atomic():
        found = find(offer_id)
        if found.standing not in (OfferState.OPEN, OfferState.AGREED):
            raise CannotOffer(f"This offer is {found.standing.label}; a link to it would be of no use.")
        public_links.revoke(LinkPurpose.OFFER, subject_id=found.pk)
        return _make_link(found, found.quote.event)


def withdraw(offer_id: int) -> Offer:
    """Take an open offer back; its link says so. Withdrawing twice changes nothing. Raises :class:`CannotOffer`."""
    require(Right.OFFER)
    with transaction.atomic():
        found = locked(offer_id)
        if found.state == OfferState.WITHDRAWN:
            return found
        if found.state != OfferState.OPEN:
            raise CannotOffer(f"This offer is {found.get_state_display()}; it can't be withdrawn.")
        close(found, OfferState.WITHDRAWN)
        back_to_sketch(found)
    return found


def let_go(offer_id: int) -> Offer:
    """Let go of what is on hold for an open offer, which stays open: whoever agrees first has it.

    Letting go twice changes nothing. Raises :class:`CannotOffer`.
    """
    require(Right.OFFER)
    with transaction.atomic():
        found = locked(offer_id)
        if found.standing != OfferState.OPEN:
            raise CannotOffer(f"This offer is {found.standing.label}; nothing is on hold for it any more.")
        _release_tentative_hold(found)
    return found


def coming_back(made: Offer) -> list[Material]:
    """What an offer needs that comes back, such as frames and covers, with every option. Two queries.

    Of several versions only one will be built: of each item as many as the version takes that takes most.
    """
    return _coming_back(most_needed(offer_document.read_offer(made.frozen).quote))


def tentative_hold_words(
    codes: Iterable[str], event: Event, studio: Studio, *, names: bool, besides: int | None = None
) -> list[str]:
    """Who has these codes on hold just then, a sentence each; to a client without saying who.

    ``besides`` is the caller's own hold."""
    with as_studio():
        found = tentative_holds.find_conflicts(codes, event.hold_window())
    return [
        ngettext(
            "%(count)s × %(item)s is on hold for %(whom)s until %(moment)s.",
            "%(count)s × %(item)s are on hold for %(whom)s until %(moment)s.",
            hold.quantity,
        )
        % {
            "count": hold.quantity, "item": hold.name, "whom": hold.label if names else _("another client"),
            "moment": _spelled(hold.until, studio),
        }
        for hold in found
        if hold.hold_id != besides
    ]  # fmt: skip


def lapse_due() -> int:
    """Close every open offer of the entered studio whose date has passed; returns how many."""
    due = Offer.objects.filter(state=OfferState.OPEN, expires_at__lte=timezone.now()).order_by("pk")
    lapsed = 0
    for offer_id in list(due.values_list("pk", flat=True)):
        with transaction.atomic():
            found = locked(offer_id)
            if found.state == OfferState.OPEN and found.standing == OfferState.LAPSED:
                close(found, OfferState.LAPSED)
                back_to_sketch(found)
                lapsed += 1
    return lapsed


def mint(offer_id: int) -> str:
    """A link for an e-mail, beside those there are. Made when the mail is written, so that no token is ever stored."""
    require(Right.OFFER)
    found = find(offer_id)
    return _make_link(found, found.quote.event)


def locked(offer_id: int) -> Offer:
    """The offer with its quote, event and client; quote, offer and event locked in that order. 404 if unknown."""
    quote_id = Offer.objects.filter(pk=offer_id).values_list("quote_id", flat=True).first()
    if quote_id is None:
        raise Http404
    quote = _locked(quote_id)
    found = Offer.objects.select_for_update(no_key=True).get(pk=offer_id)
    found.quote = quote
    return found


def close(found: Offer, state: OfferState, *, at: datetime | None = None) -> None:
    """Note what became of an offer, and release what was held for it."""
    found.state, found.closed_at = state, at or timezone.now()
    found.save(update_fields=["state", "closed_at"])
    _release_tentative_hold(found)


def back_to_sketch(found: Offer) -> None:
    """An offer that came to nothing leaves a sketch behind."""
    Quote.objects.filter(pk=found.quote_id, state=QuoteState.OFFERED).update(state=QuoteState.SKETCH)
    others = Offer.objects.filter(quote__event=found.quote.event_id, state=OfferState.OPEN).exclude(
        pk=found.pk
    )
    if not others.exists():
        _reach(found.quote.event, Stage.SKETCH, only_from=Stage.OFFERED)


def as_studio() -> AbstractContextManager[tenancy.Tenant]:
    """Inside: what follows from a client's answer is done by the studio itself, as promised in its offer."""
    tenant = tenancy.current()
    return tenancy.entered(tenant.studio_id, slug=tenant.slug, role=Role.SYSTEM, person_id=tenant.person_id)


# --- Private --------------------------------------------------------------------------------------------------


def _kept(
    quote: Quote,
    copy: QuoteDocument,
    frozen: offer_document.Frozen,
    reference: tuple[int, int],
    vouched: str,
    valid: tuple[datetime, datetime],
) -> Offer:
    """The offer's row: its number and version, what the owner vouched for, from when until when it is valid."""
    number, version = reference
    return Offer.objects.create(
        quote=quote, number=number, version=version,
        frozen=frozen.text, digest=frozen.digest, content_digest=frozen.content_digest,
        total=copy.total, deposit=copy.deposit, currency=copy.currency,
        client_name=quote.event.client.name, client_email=quote.event.client.email,
        offered_at=valid[0], offered_by_id=tenancy.current().person_id, expires_at=valid[1], vouched=vouched,
    )  # fmt: skip


def _coming_back(needs: Mapping[str, int]) -> list[Material]:
    items = catalogue.find_by_code(needs)
    return [
        Material(code, count)
        for code, count in needs.items()
        if code in items and items[code].is_reusable and count
    ]


def _unheld_variants(copy: QuoteDocument, made: Offer, event: Event) -> tuple[UnheldVariant, ...]:
    """The versions that take more of something than is free then, each with what it lacks."""
    besides = made.tentative_hold_id
    found = []
    for one in offer_document.every_variant(copy):
        needs = _coming_back(whole_needs(one))
        with as_studio():
            free = availability.availability(needs, event.hold_window(), besides=[besides] if besides else [])
        lacks = [
            Shortfall(each.code, each.item.name, each.needed, each.free)
            for each in free
            if each.item and each.short
        ]
        if lacks:
            found.append(UnheldVariant(one.source, one.variant, tuple(lack.words for lack in lacks)))
    return tuple(found)


def _have_it_sent(made: Offer, quotes: Iterable[Quote], short: tuple[str, ...]) -> None:
    """Have the worker make pictures and paper, and send the letter where everything is on hold."""
    for quote in quotes:
        with_stills.ask(quote)
    entries.write("quoting.render_offer_pdf", share=PAPERS, key=f"offer-pdf-{made.pk}", offer_id=made.pk)
    _send(made, short)


def _locked(quote_id: int) -> Quote:
    """The quote and its event, locked; whoever comes second waits here."""
    quote = Quote.objects.select_for_update(of=("self",), no_key=True).filter(pk=quote_id).first()
    if quote is None:
        raise Http404
    quote.event = (
        Event.objects.select_related("client", "venue")
        .select_for_update(of=("self",), no_key=True)
        .get(pk=quote.event_id)
    )
    return quote


def _locked_set(quote_id: int) -> list[Quote]:
    """The versions of a quote that are offered, the lead first, all of one event, locked. 404 if unknown."""
    rows = variants.offered_of(variants.lock_set(quote_id))
    lead = _locked(rows[0].pk)
    for each in rows:
        each.event = lead.event
    return [lead, *rows[1:]]


def _locked_studio() -> Studio:
    """Two offers of one studio don't get one number."""
    studios = Studio.objects.select_for_update(of=("self",), no_key=True).defer("logo")
    return studios.get(pk=tenancy.current_studio_id())


def _next_reference(latest: Offer | None) -> tuple[int, int]:
    """Number and version of the offer after this one; the studio's next number where there is none."""
    if latest:
        return latest.number, latest.version + 1
    return (Offer.objects.aggregate(last=Max("number"))["last"] or 0) + 1, 1


def _same_press(latest: Offer, frozen: offer_document.Frozen, after_version: int | None) -> bool:
    if latest.state != OfferState.OPEN or latest.content_digest != frozen.content_digest:
        return False
    return after_version is None or latest.version > after_version


def _valid_until(studio: Studio, event: Event, now: datetime) -> datetime:
    """The end of the last day that the studio lets an offer hold, but never past the start of work on site."""
    last_day = (now + timedelta(days=studio.offer_days)).astimezone(studio.tz).date()
    try:
        end = times.local(last_day, time(23, 59), studio.tz).astimezone(UTC)
    except times.NoSuchTime:  # a zone that skips midnight that night
        end = now + timedelta(days=studio.offer_days)
    return min(end, event.access_from)


def _hold_tentatively(made: Offer, event: Event) -> tuple[str, ...]:
    """Hold what comes back tentatively, options and all, as far as it is free.

    A sentence for each item that isn't: it must be free when the client agrees.
    """
    needs = coming_back(made)
    if not needs:
        return ()
    others: list[str] = []
    with as_studio():
        try:
            answer: holds.HoldAnswer | None = _ask(made, event, needs, "tentative")
            short: tuple[holds.Shortfall, ...] = ()
        except holds.NotFree as refusal:
            short = refusal.shortfalls
            studio = entered_studio()
            others = tentative_hold_words([lack.code for lack in short], event, studio, names=True)
            free = {lack.code: 0 if lack.retired else max(0, lack.free) for lack in short}
            rest = [
                Material(need.code, min(need.quantity, free.get(need.code, need.quantity))) for need in needs
            ]
            answer = _ask_for_rest(made, event, [need for need in rest if need.quantity])
    if answer is not None:
        made.tentative_hold_id = answer.hold_id
        made.save(update_fields=["tentative_hold"])
    return (*(lack.words for lack in short), *others)


def _send(made: Offer, short: Sequence[str]) -> None:
    """Have the worker send the e-mail; stopped where pieces couldn't be held, until the studio decides."""
    if made.client_email and short:
        made.mail_stopped_at = made.offered_at
        made.save(update_fields=["mail_stopped_at"])
    elif made.client_email:
        entries.write("quoting.mail_offer", share=MAILS, key=f"offer-mail-{made.pk}", offer_id=made.pk)


def _ask(made: Offer, event: Event, needs: Sequence[Material], what: str) -> holds.HoldAnswer:
    return holds.hold(
        label=f"{event.title}, offer {made.reference}",
        window=event.hold_window(),
        needs=needs,
        key=f"offer-{made.pk}-{what}",
        tentative_until=made.expires_at,
    )


def _ask_for_rest(made: Offer, event: Event, needs: Sequence[Material]) -> holds.HoldAnswer | None:
    try:
        return _ask(made, event, needs, "tentative-rest") if needs else None
    except holds.NotFree:  # somebody was quicker just now; agreeing checks again
        return None


def _release_tentative_hold(found: Offer) -> None:
    if found.tentative_hold_id:
        with as_studio():
            holds.release(found.tentative_hold_id, key=f"offer-{found.pk}-tentative-release")


def _spelled(moment: datetime, studio: Studio) -> str:
    there = moment.astimezone(studio.tz)
    return dates.moment_written(there)


def _reach(event: Event, stage: Stage, *, only_from: Stage | None = None) -> None:
    """Move the thread on, or back; an event that is agreed through another quote stays agreed."""
    event.refresh_from_db(fields=["stage", "status"])
    if event.is_agreed or event.is_off or (only_from and event.stage != only_from):
        return
    with as_studio():
        stages.reach(event.pk, stage)


def _make_link(made: Offer, event: Event) -> str:
    expires = max(made.expires_at, event.out_by) + LINK_OUTLIVES
    link = public_links.make(LinkPurpose.OFFER, subject_id=made.pk, expires_at=expires)
    return absolute(f"/o/{link.token}")
