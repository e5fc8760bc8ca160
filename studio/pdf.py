"""PDFs by WeasyPrint: tagged (PDF/UA-1), fonts embedded, nothing fetched but our own static files.

A template to be printed names a static file as ``static:///studio/pdf/paper.css`` and a picture made for this one
document as ``made:///name``.
"""

from __future__ import annotations

import hashlib
import mimetypes
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import unquote, urlsplit

from babel import Locale, UnknownLocaleError
from django.contrib.staticfiles import finders
from django.template.loader import render_to_string

from studio.models import StoredFile, Studio

if TYPE_CHECKING:
    from weasyprint.urls import URLFetcher

LETTER_TERRITORIES: Final = frozenset("BZ CA CL CO CR GT MX NI PA PH PR SV US VE".split())
"""Where paper is US Letter (CLDR supplemental data, measurementData/paperSize, from memory); A4 elsewhere."""


class RefusedAddress(ValueError):
    """A page to be printed asked for something that isn't one of our own files."""


def rendered(template: str, context: dict[str, Any], *, made: Mapping[str, bytes] | None = None) -> bytes:
    """The template as a PDF/UA-1 document; ``made`` gives the pictures behind ``made:///name``.

    Raises :class:`RefusedAddress` if the template asks for anything else: a PDF without its fonts or its picture
    would look like a good one.
    """
    # Imported here: WeasyPrint loads Pango, which only the worker needs.
    from weasyprint import HTML
    from weasyprint.text.fonts import FontConfiguration

    html = HTML(
        string=render_to_string(template, context),
        base_url="static:///",
        url_fetcher=_own_files_only(made or {}),
    )
    return bytes(html.write_pdf(font_config=FontConfiguration(), pdf_variant="pdf/ua-1"))


def stored(name: str, content: bytes) -> StoredFile:
    """Keep a PDF of the entered studio."""
    return StoredFile.objects.create(
        name=name,
        media_type="application/pdf",
        content=content,
        digest=hashlib.sha256(content).hexdigest(),
    )


def paper(studio: Studio) -> str:
    """``letter`` or ``A4``: by the country of the studio's locale, else by how it measures."""
    try:
        territory = Locale.parse(studio.locale).territory
    except (UnknownLocaleError, ValueError):
        territory = None
    if territory is None:
        return "letter" if studio.units == "feet" else "A4"
    return "letter" if territory in LETTER_TERRITORIES else "A4"


def _own_files_only(made: Mapping[str, bytes]) -> URLFetcher:
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

    class Refused(FatalURLFetchingError, RefusedAddress):  # type: ignore[misc]
        """WeasyPrint leaves out what it can't fetch, unless the error is one of its fatal ones."""

    class OwnFiles(URLFetcher):  # type: ignore[misc]
        """Serves ``static:///path`` and ``made:///name``; refuses the network and the disk."""

        def fetch(self, url: str, headers: Any = None) -> Any:
            parts = urlsplit(url)
            name = unquote(parts.path).lstrip("/")
            if parts.scheme == "data":
                return super().fetch(url, headers)
            if parts.scheme == "made" and name in made:
                return answer(url, made[name])
            path = finders.find(name) if parts.scheme == "static" else None
            if not isinstance(path, str):
                raise Refused(f"Not one of our files: {url[:80]}")
            return answer(url, Path(path).read_bytes())

    def answer(url: str, body: bytes) -> Any:
        media_type = mimetypes.guess_type(url)[0] or "application/octet-stream"
        return URLFetcherResponse(url, body=body, headers={"Content-Type": media_type})

    return OwnFiles(allowed_protocols=["data", "static", "made"])
