"""Design files: checked, brought in, given out."""

from __future__ import annotations

from typing import Any, Final

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_safe

from quoting.craft.design.design_file import read_design
from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import Design
from quoting.design_library import files, library
from quoting.designs.forms import DesignFileForm
from quoting.designs.presenter import design_sheet
from studio.models import Studio
from studio.people import rate_limit
from studio.people.gates import studio_page
from studio.tenancy import links
from studio.tenancy.rights import Right

CHECKS: Final = rate_limit.Limit(tries=20, window_seconds=60)
"""A file costs up to a second or two of work."""
PAGE: Final = "quoting/designs/file.html"


@require_safe
@studio_page(Right.SEE_QUOTES)
def download(request: HttpRequest, template_id: int) -> HttpResponse:
    """A design as a file that can be brought in again."""
    found = library.template(template_id)
    written = files.written(read_design(found.design))
    response = HttpResponse(written, content_type="application/json; charset=utf-8")
    name = slugify(found.name)[:60] or "design"
    response["Content-Disposition"] = f'attachment; filename="{name}.json"'
    return response


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_QUOTES)
def bring_in(request: HttpRequest) -> HttpResponse:
    """Check a design file and, once it was seen, keep it. Faults are listed by their place; nothing is corrected."""
    if request.method != "POST":
        return render(request, PAGE, {"form": DesignFileForm()})
    form = DesignFileForm(request.POST, request.FILES)
    if not form.is_valid():
        return render(request, PAGE, {"form": form}, status=422)
    if rate_limit.over(CHECKS, action="design-file", who=str(request.user.pk)):
        form.add_error(None, "Many files at once: wait a minute, then check again.")
        return render(request, PAGE, {"form": form}, status=429)
    content = form.content
    form = DesignFileForm(initial={"text": _as_text(content)})
    try:
        design = files.read(content)
        if "keep" in request.POST:
            return _keep(request, form, design, request.POST.get("name", ""))
        return render(request, PAGE, _checked(request, form, design))
    except DesignError as error:
        context = {"form": form, "faults": files.fault_rows(error), "in_all": len(error.faults)}
        return render(request, PAGE, context, status=422)


# Private


def _keep(request: HttpRequest, form: DesignFileForm, design: Design, typed: str) -> HttpResponse:
    try:
        name = library.clean_name(typed or design.name)
        made = library.keep_design(files.named(design, name), _studio(request))
    except ValidationError as fault:
        words = " ".join(fault.messages)
        context = _checked(request, form, design) | {"name": typed, "name_error": words}
        return render(request, PAGE, context, status=422)
    messages.success(request, f"{made.name} is one of your designs now.")
    return redirect(links.to("quoting:design", made.pk))


def _checked(request: HttpRequest, form: DesignFileForm, design: Design) -> dict[str, Any]:
    shown = design_sheet(design, _studio(request))
    return {"form": form, "design": design, "shown": shown, "name": design.name}


def _as_text(content: bytes | str) -> str:
    """What goes back into the box: the file as it was read, as far as it is text that fits there."""
    if isinstance(content, str):
        return content
    return content[: files.MOST_BYTES].decode("utf-8", "replace").replace("\x00", "")


def _studio(request: HttpRequest) -> Studio:
    studio: Studio = request.tenant.studio  # type: ignore[attr-defined]
    return studio
