"""The designs that quotes are drawn from."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.craft.design.design_file import read_design
from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import Design
from quoting.design_library import files, finding, library
from quoting.design_library.forms import NameForm
from quoting.designs.forms import ChangeForm, DesignFileForm
from quoting.designs.presenter import design_cards, design_sheet
from quoting.drawing_table import drafts
from quoting.quotes import sheet
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest
from studio.tenancy import fair_share, links
from studio.tenancy.rights import Right

A_YEAR: Final = 365 * 24 * 3600
LONGEST_ID: Final = 18
"""So many digits fit into an id."""
FILE_PAGE: Final = "quoting/designs/file.html"


@require_safe
@studio_page(Right.SEE_QUOTES)
def designs(request: StudioRequest) -> HttpResponse:
    """Every design with its picture; with ``?for=<quote>`` each can be added to that quote."""
    asked = request.GET.get("for", "")
    quote = sheet.find_quote(int(asked)) if asked.isascii() and asked.isdigit() and len(asked) < 18 else None
    words, tag = request.GET.get("q", "")[:80], request.GET.get("tag", "")[:30]
    found = finding.find(words, tag)
    is_list = quote is None and not words and not tag and request.tenant.can(Right.EDIT_QUOTES)
    context = {
        "cards": design_cards(found.templates, request.tenant.studio),
        "tags": found.tags,
        "quote": quote,
        "words": words,
        "tag": tag,
        "drafts": drafts.loose_drafts() if is_list else [],
    }
    return render(request, "quoting/designs/designs.html", context)


@require_safe
@studio_page(Right.SEE_QUOTES)
def design(request: StudioRequest, template_id: int) -> HttpResponse:
    """One design seen whole."""
    found = library.template(template_id)
    studio = request.tenant.studio
    (card,) = design_cards([found], studio)
    context = {"template": found, "shown": design_sheet(read_design(found.design), studio), "past": card.past}
    context |= {"tags": finding.tags_of(found), "photos": finding.photos_of(found)}
    return render(request, "quoting/designs/design.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_QUOTES)
def change(request: StudioRequest, template_id: int) -> HttpResponse:
    """Change a design: look at what comes of it as often as you like, then keep it."""
    found, studio = library.template(template_id), request.tenant.studio
    design = read_design(found.design)
    form = ChangeForm(request.POST or None, design=design, units=studio.units)
    shown = None
    if form.is_bound and form.is_valid():
        try:
            design = replace(design, tags=form.cleaned_data["tags"])
            design = library.changed(design, form.changes, name=form.cleaned_data["name"], studio=studio)
            if "keep" in request.POST:
                made = library.redraw(template_id, design, studio)
                messages.success(request, f"{made.name} was saved.")
                return redirect(links.to("quoting:design", template_id))
            shown = design_sheet(design, studio)
        except ValidationError as refusal:
            form.take_refusal(refusal)
    context = {
        "template": found,
        "form": form,
        "shown": shown or design_sheet(read_design(found.design), studio),
    }
    context["is_looked_at"] = shown is not None
    return render(request, "quoting/designs/change.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_QUOTES)
def keep_piece(request: StudioRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """Keep a set piece of a quote as a design of the studio's own."""
    piece = library.set_piece(quote_id, piece_id)
    form = NameForm(request.POST if request.method == "POST" else None, initial={"name": ""})
    if form.is_bound and form.is_valid():
        try:
            made = library.keep_piece(piece, form.cleaned_data["name"], request.tenant.studio)
        except ValidationError as fault:
            form.add_error(None, fault)
        else:
            messages.success(request, f"{made.name} was added to your designs.")
            return redirect(links.to("quoting:design", made.pk))
    context = {"form": form, "title": "Save as a design", "verb": "Save", "picture": piece.picture}
    context |= {"piece": piece, "back": links.to("quoting:quote", quote_id) + f"?piece={piece_id}"}
    return render(request, "quoting/designs/name.html", context, status=422 if form.errors else 200)


@require_safe
@studio_page(Right.SEE_QUOTES, many_at_once=True)
def picture(request: StudioRequest, template_id: int) -> HttpResponse:
    """A design's picture. It never changes under its address, which carries when it was made."""
    response = HttpResponse(library.template(template_id).picture, content_type="image/svg+xml")
    response["Cache-Control"] = f"private, max-age={A_YEAR}, immutable"
    return response


@require_POST
@studio_page(Right.EDIT_QUOTES)
def bring_in_starters(request: StudioRequest) -> HttpResponse:
    """Add the starters that the studio lacks."""
    added = library.bring_in_starters(request.tenant.studio)
    words = {0: "You have all starter designs already.", 1: "1 starter design was added."}
    messages.success(request, words.get(len(added), f"{len(added)} starter designs were added."))
    event_id = request.POST.get("event", "")
    if event_id.isascii() and event_id.isdigit() and len(event_id) < LONGEST_ID:
        return redirect(links.to("quoting:quote-start", int(event_id)))
    return redirect(links.to("quoting:designs"))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def retire(request: StudioRequest, template_id: int) -> HttpResponse:
    """Take a design out of use; the notice brings it back."""
    gone = library.retire(template_id)
    messages.success(
        request, f"{gone.name} was retired.", extra_tags=links.to("quoting:design-restore", gone.pk)
    )
    return redirect(links.to("quoting:designs"))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def bring_back(request: StudioRequest, template_id: int) -> HttpResponse:
    """Use a design again."""
    try:
        library.bring_back(template_id)
    except ValidationError:
        messages.error(request, "Another design has that name now. Rename or retire it first.")
    return redirect(links.to("quoting:designs"))


@require_safe
@studio_page(Right.SEE_QUOTES)
def download(request: StudioRequest, template_id: int) -> HttpResponse:
    """A design as a file that can be brought in again."""
    found = library.template(template_id)
    written = files.written(read_design(found.design))
    response = HttpResponse(written, content_type="application/json; charset=utf-8")
    name = slugify(found.name)[:60] or "design"
    response["Content-Disposition"] = f'attachment; filename="{name}.json"'
    return response


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_QUOTES)
def import_file(request: StudioRequest) -> HttpResponse:
    """Check a design file and, once it was seen, keep it. Faults are listed by their place; nothing is corrected."""
    if request.method != "POST":
        return render(request, FILE_PAGE, {"form": DesignFileForm()})
    form = DesignFileForm(request.POST, request.FILES)
    if not form.is_valid():
        return render(request, FILE_PAGE, {"form": form}, status=422)
    try:
        with fair_share.turn(fair_share.DESIGN_FILES):
            return _checked_or_saved(request, form.content)
    except fair_share.TooMuch as refusal:
        form.add_error(None, refusal)
        return render(request, FILE_PAGE, {"form": form}, status=429)


# Private


def _checked_or_saved(request: StudioRequest, content: bytes | str) -> HttpResponse:
    form = DesignFileForm(initial={"text": _as_text(content)})
    try:
        design = files.read(content)
        if "keep" in request.POST:
            return _save_file_design(request, form, design, request.POST.get("name", ""))
        return render(request, FILE_PAGE, _checked_file(request, form, design))
    except DesignError as error:
        context = {"form": form, "faults": files.fault_rows(error), "in_all": len(error.faults)}
        return render(request, FILE_PAGE, context, status=422)


def _save_file_design(
    request: StudioRequest, form: DesignFileForm, design: Design, typed: str
) -> HttpResponse:
    try:
        name = library.clean_name(typed or design.name)
        made = library.keep_from_file(files.named(design, name), request.tenant.studio)
    except ValidationError as fault:
        words = " ".join(fault.messages)
        context = _checked_file(request, form, design) | {"name": typed, "name_error": words}
        return render(request, FILE_PAGE, context, status=422)
    messages.success(request, f"{made.name} was added to your designs.")
    return redirect(links.to("quoting:design", made.pk))


def _checked_file(request: StudioRequest, form: DesignFileForm, design: Design) -> dict[str, object]:
    shown = design_sheet(design, request.tenant.studio)
    return {"form": form, "design": design, "shown": shown, "name": design.name}


def _as_text(content: bytes | str) -> str:
    """What goes back into the box: the file as it was read, as far as it is text that fits there."""
    if isinstance(content, str):
        return content
    return content[: files.MOST_BYTES].decode("utf-8", "replace").replace("\x00", "")
