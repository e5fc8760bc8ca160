"""The kernel's worker tasks."""

from __future__ import annotations

from collections.abc import Mapping

from celery import shared_task

from studio.outbox import entries, mail
from studio.paper import written_out
from studio.people import membership
from studio.tenancy.every_studio import in_every_studio


@entries.worker_task("studio.send_mail")
def send_mail(
    *, template: str, to: str, context: Mapping[str, object], reply_to: str = "", sender: str = ""
) -> None:
    """Send one e-mail."""
    mail.send(template=template, to=to, context=context, reply_to=reply_to, sender=sender)


@entries.worker_task("studio.mail_invitation")
def mail_invitation(*, invitation_id: int) -> None:
    """Send an invitation's link."""
    membership.mail_invitation(invitation_id)


@entries.worker_task(written_out.TASK)
def print_paper(*, name: str, html: str) -> None:
    """Print a paper that a page wrote out, once."""
    written_out.print_out(name, html)


@shared_task(name="studio.let_papers_go", ignore_result=True)
def let_papers_go() -> int:
    """Let go of papers that were printed for the day, in every studio."""
    return in_every_studio(written_out.let_go_old)


@shared_task(name="studio.sweep_outbox", ignore_result=True)
def sweep_outbox() -> int:
    """Send again what was lost on the way to the worker."""
    return entries.sweep()


@shared_task(name="studio.canary")
def canary(word: str) -> str:
    """Come back with what was sent: proves broker, worker and result store together."""
    return word
