"""PDFs by WeasyPrint: tagged (PDF/UA-1), fonts embedded, nothing fetched but our own static files.

A template to be printed names a static file as ``static:///studio/pdf/paper.css`` and a picture made for this one
document as ``made:///name``.
"""

from __future__ import annotations

import hashlib
import mimetypes
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Protocol
from urllib.parse import unquote, urlsplit

from babel import Locale, UnknownLocaleError
from django.contrib.staticfiles import finders
from django.core.exceptions import SuspiciousFileOperation
from django.http import HttpResponse
from django.template.loader import render_to_string

from studio.models import OutboxEntry, StoredFile, Studio

LETTER_TERRITORIES: Final = frozenset(
    ("BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE")
)
"""Where paper is US Letter (CLDR supplemental data, measurementData/paperSize, from memory); A4 elsewhere."""


class Fetcher(Protocol):
    """What fetches files for a paper, and which addresses it refused."""

    refused: list[str]


class RefusedAddress(ValueError):
    """A page to be printed asked for something that isn't one of our own files."""


def rendered(
    template: str, context: Mapping[str, object], *, made: Mapping[str, bytes] | None = None
) -> bytes:
    """The template as a PDF/UA-1 document; ``made`` gives the pictures behind ``made:///name``.

    Raises :class:`RefusedAddress` as :func:`printed` does.
    """
    return printed(render_to_string(template, dict(context)), made=made)


def printed(html: str, *, made: Mapping[str, bytes] | None = None) -> bytes:
    """The document as PDF/UA-1. It takes a second: the worker's business, no page's.

    Raises :class:`RefusedAddress` if it asks for anything that isn't ours: a PDF without its fonts or its picture
    would look like a good one.
    """
    # Imported here: WeasyPrint loads Pango, which only the worker needs.
    from weasyprint import HTML
    from weasyprint.text.fonts import FontConfiguration

    fetcher = _own_files_only(made or {})
    document = HTML(string=html, base_url="static:///", url_fetcher=fetcher)
    content = document.write_pdf(font_config=FontConfiguration(), pdf_variant="pdf/ua-1")
    # WeasyPrint only logs what it couldn't fetch, and leaves it out.
    if fetcher.refused:
        raise RefusedAddress(f"Not one of our files: {', '.join(fetcher.refused)}")
    return bytes(content)


@dataclass(frozen=True, slots=True)
class Paper:
    """How a PDF stands that is made when it is asked for: the file, or whether it was given up."""

    file: StoredFile | None
    failed: bool


def standing(name: str) -> Paper:
    """How the PDF of that name stands; its outbox entry has the name as its key. One or two queries.

    A name carries a digest of what is on the paper. Papers are never let go: what is put back has its paper at once,
    though its outbox entry is done for good.
    """
    file = StoredFile.objects.filter(name=name).first()
    gone = file is None and OutboxEntry.objects.filter(key=name, failed_at__isnull=False).exists()
    return Paper(file, gone)


def kept(name: str, render: Callable[[], bytes]) -> StoredFile:
    """The PDF of that name, rendered only where it isn't there yet."""
    return StoredFile.objects.filter(name=name).first() or stored(name, render())


def stored(name: str, content: bytes) -> StoredFile:
    """Keep a PDF of the entered studio."""
    return StoredFile.objects.create(
        name=name,
        media_type="application/pdf",
        content=content,
        digest=hashlib.sha256(content).hexdigest(),
    )


def on_screen(file: StoredFile, name: str) -> HttpResponse:
    """A stored PDF, shown in the browser; ``name`` is what it is called when kept."""
    response = HttpResponse(bytes(file.content), content_type=file.media_type)
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response


def paper(studio: Studio) -> str:
    """``letter`` or ``A4``: by the studio's country, else that of its locale, else by how it measures."""
    if studio.country:
        return "letter" if studio.country in LETTER_TERRITORIES else "A4"
    try:
        territory = Locale.parse(studio.locale).territory
    except (UnknownLocaleError, ValueError):
        territory = None
    if territory is None:
        return "letter" if studio.units == "feet" else "A4"
    return "letter" if territory in LETTER_TERRITORIES else "A4"


def _own_files_only(made: Mapping[str, bytes]) -> Fetcher:
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFiles(URLFetcher):  # type: ignore[misc] # WeasyPrint has no types
        """Serves ``static:///path`` and ``made:///name``; notes and refuses everything else."""

        refused: list[str]

        def fetch(self, url: str, headers: object = None) -> object:
            if urlsplit(url).scheme == "data":
                return super().fetch(url, headers)
            body = _body(url, made)
            if body is None:
                self.refused.append(url[:80])
                raise RefusedAddress(f"Not one of our files: {url[:80]}")
            media_type = mimetypes.guess_type(url)[0] or "application/octet-stream"
            return URLFetcherResponse(url, body=body, headers={"Content-Type": media_type})

    fetcher = OwnFiles(allowed_protocols=["data", "static", "made"])
    fetcher.refused = []
    return fetcher


def _body(url: str, made: Mapping[str, bytes]) -> bytes | None:
    """What stands behind one of our two kinds of address; nothing for any other."""
    parts = urlsplit(url)
    name = unquote(parts.path).lstrip("/")
    if parts.scheme == "made":
        return made.get(name)
    if parts.scheme != "static":
        return None
    try:
        path = finders.find(name)
    except SuspiciousFileOperation:
        return None
    return Path(path).read_bytes() if isinstance(path, str) else None
