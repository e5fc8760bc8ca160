"""What has changed about a quote since its page was shown, asked every two seconds by each open page."""

from __future__ import annotations

from django.http import Http404, HttpRequest, JsonResponse
from django.views.decorators.http import require_safe

from quoting.look_along import presence
from quoting.models import Quote, SketchVersion
from quoting.quote_page import presenter
from studio.people.gates import studio_page
from studio.tenancy.rights import Right


@require_safe
@studio_page(Right.SEE_QUOTES)
def pulse(request: HttpRequest, quote_id: int) -> JsonResponse:
    """The version, and where it isn't ``?version=`` what made it that; who else is here; whether the client looks."""
    found = (
        Quote.objects.filter(pk=quote_id).values_list("version", "changed_by_id", "changed_by__name").first()
    )
    if found is None:
        raise Http404
    version, changed_by, name = found
    person = request.tenant.person  # type: ignore[attr-defined]
    others = presence.here(quote_id, person_id=person.pk, name=person.get_short_name())
    words = ""
    if request.GET.get("version") != str(version):
        what = SketchVersion.objects.filter(quote_id=quote_id, number=version - 1).values_list(
            "what", flat=True
        )
        who = "You" if changed_by == person.pk else name or "Somebody"
        words = presenter.change_words(who, what.first(), version)
    return JsonResponse(
        {
            "version": version,
            "words": words,
            "here": presenter.here_words(others),
            "looking": presence.is_client_looking(quote_id),
        }
    )
