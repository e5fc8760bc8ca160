"""The quoting room's worker tasks."""

from __future__ import annotations

from datetime import datetime

from celery import shared_task

from quoting.build_sheet import sheets
from quoting.design_library import library, on_opening
from quoting.invoices import letters, on_time, reminding
from quoting.invoices import pdf as invoice_pdf
from quoting.models import Answer
from quoting.offers import called_off, offering, postponed, sending, with_stills
from quoting.offers import pdf as offer_pdf
from quoting.stills import letting_go, stills
from quoting.suggestions import fitting
from studio.models import entered_studio
from studio.outbox import entries
from studio.tenancy.every_studio import in_every_studio


@entries.worker_task("quoting.fit_budget")
def fit_budget(*, name: str) -> None:
    """Find versions of a set piece that a budget buys."""
    fitting.fit_budget(name)


@entries.worker_task("quoting.fit_stock")
def fit_stock(*, name: str) -> None:
    """Find colors of a set piece that are free on the day."""
    fitting.fit_stock(name)


@entries.worker_task("quoting.fit_room")
def fit_room(*, name: str) -> None:
    """Find the frames that fill a room best."""
    fitting.fit_room(name)


@entries.worker_task(on_opening.TASK)
def bring_in_starters() -> None:
    """Bring in the starter designs that the studio lacks."""
    library.bring_in_starters(entered_studio())


@entries.worker_task(stills.TASK)
def render_still(*, still_id: int) -> None:
    """Render a lifelike picture of a set piece, and put it on the paper of the offers that show it."""
    stills.render(still_id)
    with_stills.renew_papers(still_id)


@entries.worker_task("quoting.render_offer_pdf")
def render_offer_pdf(*, offer_id: int) -> None:
    """Make the offer's PDF, once: what is there already is left alone."""
    offer_pdf.make(offer_id)


@entries.worker_task("quoting.renew_offer_pdf")
def renew_offer_pdf(*, offer_id: int) -> None:
    """Make the offer's PDF anew, with the pictures that have come since."""
    offer_pdf.renew(offer_id)


@entries.worker_task("quoting.render_build_sheet")
def render_build_sheet(*, quote_id: int) -> None:
    """Make the PDF of a build sheet as it stands now."""
    sheets.make_paper(quote_id)


@entries.worker_task("quoting.mail_offer")
def mail_offer(*, offer_id: int, without_hold: bool = False) -> None:
    """Send the client the link, unless the offer is over by now or its pieces aren't on hold."""
    sending.send_offer(offer_id, without_hold=without_hold)


@entries.worker_task("quoting.close_called_off")
def close_called_off(*, event_id: int) -> None:
    """Withdraw the open offers of an event that was called off, and write to its client."""
    called_off.close_called_off(event_id)


@entries.worker_task("quoting.follow_move")
def follow_move(*, event_id: int, ready_before: str) -> None:
    """Move the tentative holds of an event that has another date, and write to its client."""
    postponed.move_holds(event_id, datetime.fromisoformat(ready_before))


@entries.worker_task("quoting.render_agreed_pdf")
def render_agreed_pdf(*, offer_id: int) -> None:
    """Put on paper what was agreed, with its evidence, once."""
    offer_pdf.make_agreed(offer_id)


@entries.worker_task("quoting.mail_agreed")
def mail_agreed(*, answer_id: int) -> None:
    """Send the client what was agreed: the PDF, and a link to the page."""
    answer = Answer.objects.select_related("offer__quote__event__client").get(pk=answer_id)
    paper = offer_pdf.make_agreed(answer.offer_id)
    sending.send_agreed(answer, paper)


@entries.worker_task("quoting.render_invoice_pdf")
def render_invoice_pdf(*, invoice_id: int) -> None:
    """Make the PDF of an invoice or credit note, once."""
    invoice_pdf.make(invoice_id)


@entries.worker_task("quoting.render_receipt_pdf")
def render_receipt_pdf(*, payment_id: int) -> None:
    """Make the PDF of a receipt, once."""
    invoice_pdf.make_receipt(payment_id)


@entries.worker_task("quoting.mail_invoice")
def mail_invoice(*, invoice_id: int) -> None:
    """Send the client an invoice or credit note with its PDF."""
    letters.send_invoice(invoice_id)


@entries.worker_task("quoting.mail_receipt")
def mail_receipt(*, payment_id: int) -> None:
    """Send the client a receipt with its PDF."""
    letters.send_receipt(payment_id)


@entries.worker_task("quoting.mail_reminder")
def mail_reminder(*, invoice_id: int) -> None:
    """Remind the client of what is open, unless it was paid in the meantime."""
    letters.send_reminder(invoice_id)


@shared_task(name="quoting.remind_overdue", ignore_result=True)
def remind_overdue() -> int:
    """Write about overdue invoices, in every studio."""
    return in_every_studio(reminding.remind_due)


@shared_task(name="quoting.issue_instalments", ignore_result=True)
def issue_instalments() -> int:
    """Issue the instalments whose day is near, in every studio."""
    return in_every_studio(on_time.issue_due)


@shared_task(name="quoting.let_stills_go", ignore_result=True)
def let_stills_go() -> int:
    """Let go of lifelike pictures that nothing shows any more, in every studio."""
    return in_every_studio(letting_go.let_go_unused)


@shared_task(name="quoting.lapse_offers", ignore_result=True)
def lapse_offers() -> int:
    """Close the offers whose date has passed, in every studio."""
    return in_every_studio(offering.lapse_due)
