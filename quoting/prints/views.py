"""An image that is printed on covers, as a file."""

from __future__ import annotations

from typing import Final

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from quoting.prints import images
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy.rights import Right

A_YEAR: Final = 365 * 24 * 3600


@require_safe
@studio_page(Right.SEE_QUOTES, many_at_once=True)
def image(_request: StudioRequest, digest: str) -> HttpResponse:
    """The whole picture. It never changes under its address."""
    file = images.find_file(digest)
    response = HttpResponse(bytes(file.content), content_type=file.media_type)
    response["Cache-Control"] = f"private, max-age={A_YEAR}, immutable"
    return response
