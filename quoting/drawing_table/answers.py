"""How the table answers: the whole page, a redirect after an act, or for a script the parts of the page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import NON_FIELD_ERRORS
from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string

from quoting.drawing_table.presenter import Asked, TablePage, table_page
from quoting.models import TableDraft
from studio.people.page_request import StudioRequest
from studio.tenancy import links

PAGE: Final = "quoting/drawing_table/table.html"
PARTS: Final = ("head", "stage", "palette", "panel", "undo", "strip")
BY_SCRIPT: Final = "X-Table"
"""Header of a request by the page's scripts: the answer is JSON."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What an answer says beside the page: what was done, or why it couldn't be."""

    said: str = ""
    also: tuple[str, ...] = ()
    why: tuple[str, ...] = ()
    problem: str = ""
    is_stale: bool = False
    replace_at: str = ""
    """Address that takes what is drawn although it takes back what somebody changed; empty where there is no such."""
    faults: Mapping[str, list[str]] = field(default_factory=dict)

    @property
    def is_refusal(self) -> bool:
        """Whether the act was not made."""
        return bool(self.problem or self.faults)


NOTHING_SAID: Final = Answer()


def answer(
    request: StudioRequest, draft: TableDraft, asked: Asked, shown: Answer = NOTHING_SAID
) -> HttpResponse:
    """The answer to a request of this draft's page."""
    by_script = BY_SCRIPT in request.headers
    if request.method == "POST" and not by_script and not shown.is_refusal:
        return _redirected(request, draft, asked, shown)
    tenant = request.tenant
    page = table_page(draft, asked, tenant.studio, rights=tenant.rights)
    loose = _at_fields(page, asked, shown)
    context = {"page": page, "draft": draft, "asked": asked, "shown": shown, "problem": loose}
    status = 422 if shown.is_refusal else 200
    if not by_script:
        return render(request, PAGE, context, status=status)
    parts = {
        name: render_to_string(f"quoting/drawing_table/_{name}.html", context, request=request)
        for name in PARTS
    }
    return JsonResponse(
        {
            "version": draft.version, "thing": page.panel.ref, "parts": parts, "said": _said(shown),
            "problem": loose or " ".join(" ".join(found) for found in shown.faults.values()),
            "stale": shown.is_stale,
        },
        status=status,
    )  # fmt: skip


# Private


def _redirected(request: StudioRequest, draft: TableDraft, asked: Asked, shown: Answer) -> HttpResponse:
    if shown.also:
        messages.info(request, " ".join(shown.also))
    address = links.to("quoting:table", draft.pk)
    selected = {"thing": asked.thing, "point": asked.gripped.point, "knot": asked.gripped.knot}
    query = urlencode({name: value for name, value in selected.items() if value})
    return redirect(f"{address}?{query}" if query else address)


def _said(shown: Answer) -> str:
    """What is read aloud: what was done, where it went, what came with it."""
    first = ", ".join(part for part in (shown.said, *shown.why) if part)
    return " ".join(part for part in (f"{first}." if first else "", *shown.also) if part)


def _at_fields(page: TablePage, asked: Asked, shown: Answer) -> str:
    """Put faults at the fields of the form that was sent; gives in words what belongs to none of them."""
    forms = [*page.panel.every_form, *page.palette]
    form = next((form for form in forms if form.is_bound and form.key == asked.sent.get("form")), None)
    loose = [shown.problem] if shown.problem else []
    for name, found in shown.faults.items():
        if form is None:
            loose += found
        elif form.is_valid() or not form.has_error(name):
            for words in found:
                form.add_error(name if name in form.fields else NON_FIELD_ERRORS, words)
    return " ".join(loose)
