"""An image that is printed on covers, as a file."""

from __future__ import annotations

import base64
from typing import Final

from django.http import Http404, HttpResponse
from django.views.decorators.http import require_safe

from quoting.prints import images
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy.rights import Right

A_YEAR: Final = 365 * 24 * 3600
CLEAR: Final = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAQAAAC1HAwCAAAAC0lEQVR42mNgYAAAAAMAASsJTYQAAAAASUVORK5CYII="
)
"""One clear pixel as a PNG."""


@require_safe
@studio_page(Right.SEE_QUOTES, many_at_once=True)
def image(_request: StudioRequest, digest: str) -> HttpResponse:
    """The whole picture. It never changes under its address.

    Where there is none such the answer is 404 with a clear pixel: a browser draws that, so that a picture that still
    names a deleted image shows its cover plain.
    """
    try:
        file = images.find_file(digest)
    except Http404:
        return HttpResponse(CLEAR, content_type="image/png", status=404)
    response = HttpResponse(bytes(file.content), content_type=file.media_type)
    response["Cache-Control"] = f"private, max-age={A_YEAR}, immutable"
    return response
