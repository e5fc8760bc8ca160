"""The offer on paper: rendered by the worker from the frozen document, kept with the offer."""

from __future__ import annotations

from django.utils import timezone

from events.contacts.language import speaking_to
from quoting.models import Answer, AnswerKind, Offer, OfferState
from quoting.offers import with_stills
from quoting.offers.document_presenter import OfferShown, PieceShown, present_offer, present_variants
from quoting.offers.keeping import find_kept
from quoting.pricing.frozen import day
from quoting.set_pieces.print_picture import for_paper
from studio.models import StoredFile, Studio, entered_studio
from studio.paper import pdf


def make(offer_id: int) -> StoredFile:
    """Render and keep the PDF of an offer; made once, it is given again."""
    # Locked without its file: a joined row is read as it was before the wait for the lock.
    offer = Offer.objects.select_for_update(no_key=True).get(pk=offer_id)
    if offer.pdf_id:
        return StoredFile.objects.get(pk=offer.pdf_id)
    studio = entered_studio()
    with speaking_to(offer.quote.event.client):
        content = rendered(offer.frozen, studio, held_on=_held_on(offer, studio))
    file = pdf.stored(f"offer-{offer.reference}.pdf", content)
    offer.pdf = file
    offer.save(update_fields=["pdf"])
    return file


def renew(offer_id: int) -> StoredFile | None:
    """Render an open offer anew: its lifelike pictures have come. What was answered stays as it was."""
    offer = Offer.objects.select_for_update(no_key=True).get(pk=offer_id)
    if offer.state != OfferState.OPEN:
        return None
    Offer.objects.filter(pk=offer.pk).update(pdf=None)
    return make(offer_id)


def make_agreed(offer_id: int) -> StoredFile:
    """Render and keep what was agreed, with its evidence; made once, it is given again."""
    offer = Offer.objects.select_for_update(no_key=True).get(pk=offer_id)
    if offer.agreed_pdf_id:
        return StoredFile.objects.get(pk=offer.agreed_pdf_id)
    answer = offer.answers.get(kind=AnswerKind.AGREED)
    studio = entered_studio()
    with speaking_to(offer.quote.event.client):
        file = pdf.stored(f"agreed-{offer.reference}.pdf", rendered(answer.frozen, studio, answer))
    offer.agreed_pdf = file
    offer.save(update_fields=["agreed_pdf"])
    return file


def rendered(frozen: str, studio: Studio, answer: Answer | None = None, *, held_on: str = "") -> bytes:
    """The frozen document as PDF/UA-1, on the studio's paper and under its logo; with ``answer``, as it was agreed.

    ``held_on`` is the day on which its pieces were on hold: paper outlives the hold, so it claims no more than that.
    """
    shown = present_offer(frozen, answer.chosen if answer else None)
    versions = [] if answer else present_variants(frozen)
    made: dict[str, bytes] = {}
    parts = [_part(one, made, is_agreed=answer is not None) for one in versions or [shown]]
    pieces = parts[0]["pieces"]
    assert isinstance(pieces, list), "a part lists its pieces"
    if pieces:
        pieces[0]["is_cover"] = True
    if studio.logo:
        made["logo.png"] = bytes(studio.logo)
    context = {
        "offer": shown, "versions": versions, "parts": parts, "cover": pieces[0] if pieces else None,
        "paper": pdf.paper(studio), "logo": bool(studio.logo), "answer": answer, "zone": studio.tz, "held_on": held_on,
    }  # fmt: skip
    return pdf.rendered("quoting/offers/pdf.html", context, made=made)


# Private


def _part(one: OfferShown, made: dict[str, bytes], *, is_agreed: bool) -> dict[str, object]:
    """A version, or the whole offer, with the files of its pictures, which are put among what is ``made``."""
    photos = with_stills.pictures(piece.still for piece in one.pieces)
    pieces: list[dict[str, PieceShown | str | bool]] = []
    for piece in one.chosen_pieces if is_agreed else one.pieces:
        name = f"piece{piece.place}"
        picture = for_paper(piece.svg, name=name, without=piece.without if is_agreed else ())
        made |= picture.made | {f"{name}.svg": picture.svg.encode()}
        photo = f"still{piece.place}.jpg" if piece.still in photos else ""
        if photo:
            made[photo] = photos[piece.still]
        pieces.append({"shown": piece, "picture": f"{name}.svg", "photo": photo, "is_cover": False})
    return {"offer": one, "pieces": pieces}


def _held_on(offer: Offer, studio: Studio) -> str:
    return day(timezone.localdate(timezone=studio.tz), studio.locale) if find_kept(offer).is_on_hold else ""
