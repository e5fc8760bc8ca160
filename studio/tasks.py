"""The kernel's worker tasks."""

from __future__ import annotations

from collections.abc import Mapping

from celery import shared_task

from studio.outbox import entries, mail
from studio.people import membership


@entries.worker_task("studio.send_mail")
def send_mail(*, template: str, to: str, context: Mapping[str, object], reply_to: str = "") -> None:
    """Send one e-mail."""
    mail.send(template=template, to=to, context=context, reply_to=reply_to)


@entries.worker_task("studio.mail_invitation")
def mail_invitation(*, invitation_id: int) -> None:
    """Send an invitation's link."""
    membership.mail_invitation(invitation_id)


@shared_task(name="studio.sweep_outbox", ignore_result=True)
def sweep_outbox() -> int:
    """Send again what was lost on the way to the worker."""
    return entries.sweep()


@shared_task(name="studio.canary")
def canary(word: str) -> str:
    """Come back with what was sent: proves broker, worker and result store together."""
    return word
