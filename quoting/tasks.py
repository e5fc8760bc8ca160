"""The quoting room's worker tasks."""

from __future__ import annotations

from celery import shared_task

from quoting import offer_document, offer_pdf, offering
from quoting.models import Answer, Offer, OfferState
from studio import mail, outbox, tenancy
from studio.models import Studio


@outbox.worker_task("quoting.render_offer_pdf")
def render_offer_pdf(*, offer_id: int) -> None:
    """Make the offer's PDF, once: what is there already is left alone."""
    offer_pdf.make(offer_id)


@outbox.worker_task("quoting.mail_offer")
def mail_offer(*, offer_id: int) -> None:
    """Send the client the link; an offer that is over by now is not announced any more."""
    offer = Offer.objects.get(pk=offer_id)
    if offer.standing == OfferState.OPEN:
        _mail("offer", offer, {})


@outbox.worker_task("quoting.mail_agreed")
def mail_agreed(*, answer_id: int) -> None:
    """Send the client what was agreed, with a link to the page and its PDF."""
    answer = Answer.objects.select_related("offer").get(pk=answer_id)
    _mail("agreed", answer.offer, {"name": answer.name, "digest": answer.digest})


@shared_task(name="quoting.lapse_offers", ignore_result=True)
def lapse_offers() -> int:
    """Close the offers whose date has passed, in every studio."""
    lapsed = 0
    for studio_id, slug in tenancy.each_studio():
        with tenancy.entered(studio_id, slug=slug):
            lapsed += offering.lapse_due()
    return lapsed


def _mail(template: str, offer: Offer, said: dict[str, str]) -> None:
    shown = offer_document.read(offer.frozen)
    studio = Studio.objects.values("email").get(pk=tenancy.current_studio_id())
    mail.send(
        template=template,
        to=offer.client_email,
        reply_to=studio["email"],
        context={"offer": shown, "address": offering.mint(offer.pk), **said},
    )
