"""PDFs by WeasyPrint: tagged, fonts embedded, nothing fetched from anywhere but our own static files."""

from __future__ import annotations

import hashlib
from typing import Any
from urllib.parse import unquote, urlsplit

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string

from studio.models import StoredFile


class RefusedAddress(ValueError):
    """A page to be printed asked for something that isn't one of our own files."""


def rendered(template: str, context: dict[str, Any]) -> bytes:
    """The template as a PDF/UA-1 document."""
    # Imported here: WeasyPrint loads Pango, which only the worker needs.
    from weasyprint import HTML
    from weasyprint.text.fonts import FontConfiguration

    html = HTML(
        string=render_to_string(template, context), base_url="static:///", url_fetcher=_own_files_only()
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


def _own_files_only() -> Any:
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFiles(URLFetcher):  # type: ignore[misc]
        """Serves ``static:///path`` out of the static files and data addresses; refuses the network."""

        def fetch(self, url: str, headers: Any = None) -> Any:
            parts = urlsplit(url)
            if parts.scheme == "data":
                return super().fetch(url, headers)
            path = finders.find(unquote(parts.path).lstrip("/")) if parts.scheme == "static" else None
            if not isinstance(path, str):
                raise RefusedAddress(f"Not one of our files: {url[:80]}")
            with open(path, "rb") as file:  # noqa: PTH123 - finders give text
                return URLFetcherResponse(url, body=file.read())

    return OwnFiles(allowed_protocols=["data", "static"])
