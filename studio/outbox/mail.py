"""E-mail: written by templates, sent by the worker."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string

from studio.outbox import entries
from studio.tenancy.fair_share import MAILS


def post(template: str, *, to: str, key: str, context: Mapping[str, object], reply_to: str = "") -> None:
    """Have the worker send ``templates/mail/<template>.{subject.txt,txt,html}`` once under ``key``.

    ``context`` holds plain JSON values only: what is sent is what was true when it was written.
    """
    entries.write(
        "studio.send_mail",
        share=MAILS,
        key=f"mail-{key}",
        template=template,
        to=to,
        context=context,
        reply_to=reply_to,
    )


def send(
    *,
    template: str,
    to: str,
    context: Mapping[str, object],
    reply_to: str = "",
    attachments: Sequence[tuple[str, bytes, str]] = (),
) -> None:
    """Render and hand over to the mail server; ``attachments`` are name, content and media type."""
    values = {**context, "site": settings.SITE_URL}
    subject = " ".join(render_to_string(f"mail/{template}.subject.txt", values).split())
    message = EmailMultiAlternatives(
        subject,
        render_to_string(f"mail/{template}.txt", values),
        settings.DEFAULT_FROM_EMAIL,
        [to],
        reply_to=[reply_to] if reply_to else None,
    )
    message.attach_alternative(render_to_string(f"mail/{template}.html", values), "text/html")
    for name, content, media_type in attachments:
        message.attach(name, content, media_type)
    message.send()
