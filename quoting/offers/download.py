"""The PDF of an offer as a download, or that it is still being made."""

from __future__ import annotations

from django.http import Http404, HttpResponse

from quoting.models import Offer, OfferState
from quoting.offers import agreeing
from studio.models import OutboxEntry, StoredFile


def paper_context(offer: Offer, handle: str) -> dict[str, object]:
    """Whether the PDF is there, being made, or was given up."""
    made = paper_id(offer) is not None
    failed = False
    if not made:
        keys = [f"offer-pdf-{offer.pk}", agreeing.agreed_pdf_key(offer)]
        failed = OutboxEntry.objects.filter(key__in=keys, failed_at__isnull=False).exists()
    return {"handle": handle, "has_pdf": made, "pdf_failed": failed}


def paper_id(offer: Offer) -> int | None:
    """The file to download: what was agreed, else the offer; none while it is being made."""
    if offer.state != OfferState.AGREED or offer.agreed_pdf_id:
        return offer.agreed_pdf_id or offer.pdf_id
    waiting = OutboxEntry.objects.filter(key=agreeing.agreed_pdf_key(offer)).exists()
    return None if waiting else offer.pdf_id


def pdf_response(offer: Offer) -> HttpResponse:
    """The PDF as a download named after the offer; 404 while there is none."""
    file_id = paper_id(offer)
    if file_id is None:
        raise Http404
    file = StoredFile.objects.get(pk=file_id)
    response = HttpResponse(bytes(file.content), content_type=file.media_type)
    response["Content-Disposition"] = f'attachment; filename="{file.name}"'
    return response
