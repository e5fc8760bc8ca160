"""E-mail: written by templates, sent by the worker."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from email.headerregistry import Address
from email.mime.image import MIMEImage
from email.utils import make_msgid, parseaddr
from typing import Final

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string

from studio.measures.languages import Language, speaking, spoken
from studio.outbox import entries
from studio.tenancy.fair_share import MAILS

HEADERS: Final = {"Auto-Submitted": "auto-generated"}
"""No program answers these letters by itself (RFC 3834, section 5)."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture that stands in a letter: JPEG or PNG, with its description and the size that it is shown in."""

    content: bytes
    kind: str
    alt: str
    width_px: int
    height_px: int


@dataclass(frozen=True, slots=True)
class Written:
    """A letter: its subject, plain text and HTML."""

    subject: str
    plain: str
    rich: str


class WithPicture(EmailMultiAlternatives):
    """A letter whose one other part is the picture that stands in it."""

    mixed_subtype = "related"


def post(
    template: str, *, to: str, key: str, context: Mapping[str, object], reply_to: str = "", sender: str = ""
) -> None:
    """Have the worker send ``templates/mail/<template>.{subject.txt,txt,html}`` once under ``key``.

    ``context`` holds plain JSON values only: what is sent is what was true when it was written, in the language that
    was spoken then.
    """
    language = spoken()
    said = {"language": language.value, **context} if language else context
    entries.write(
        "studio.send_mail",
        share=MAILS,
        key=f"mail-{key}",
        template=template,
        to=to,
        context=said,
        reply_to=reply_to,
        sender=sender,
    )


def send(
    *,
    template: str,
    to: str,
    context: Mapping[str, object],
    reply_to: str = "",
    sender: str = "",
    picture: Picture | None = None,
    attachments: Sequence[tuple[str, bytes, str]] = (),
    automatic: bool = True,
) -> None:
    """Render and hand over to the mail server; ``attachments`` are name, content and media type.

    A letter that somebody sent by hand isn't ``automatic``, and may be answered by a program.

    ``sender`` is the name that it comes from, the product's where there is none. The template finds the picture as
    ``picture.cid``, ``.alt``, ``.width_px`` and ``.height_px``.
    """
    inline, shown = _inline(picture)
    written = write(template, {**context, "picture": shown})
    # A picture stands beside its letter, it is no file that came along: RFC 2387.
    kind = WithPicture if inline and not attachments else EmailMultiAlternatives
    message = kind(
        written.subject,
        written.plain,
        _sender(sender),
        [to],
        reply_to=[reply_to] if reply_to else None,
        headers=HEADERS if automatic else {},
    )
    message.attach_alternative(written.rich, "text/html")
    if inline is not None:
        message.attach(inline)
    for name, content, media_type in attachments:
        message.attach(name, content, media_type)
    message.send()


def write(template: str, context: Mapping[str, object]) -> Written:
    """The letter as it would be sent, without sending it; in ``language``, where the context names one."""
    values = {"picture": None, **context, "site": settings.SITE_URL}
    language = context.get("language")
    with speaking(Language(str(language))) if language else nullcontext():
        return _written(template, values)


# Private


def _written(template: str, values: Mapping[str, object]) -> Written:
    return Written(
        " ".join(render_to_string(f"mail/{template}.subject.txt", values).split()),
        render_to_string(f"mail/{template}.txt", values),
        render_to_string(f"mail/{template}.html", values),
    )


def _sender(name: str) -> str:
    own_name, address = parseaddr(settings.DEFAULT_FROM_EMAIL)
    return str(Address(" ".join((name or own_name).split()), addr_spec=address))


def _inline(picture: Picture | None) -> tuple[MIMEImage | None, dict[str, object] | None]:
    """The picture as a part of the message, and what its template says of it."""
    if picture is None:
        return None, None
    content_id = make_msgid("picture", domain=parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2])
    part = MIMEImage(picture.content, picture.kind)
    part.add_header("Content-ID", content_id)
    part.add_header("Content-Disposition", "inline", filename=f"picture.{picture.kind}")
    return part, {
        "cid": content_id.strip("<>"),
        "alt": picture.alt,
        "width_px": picture.width_px,
        "height_px": picture.height_px,
    }
