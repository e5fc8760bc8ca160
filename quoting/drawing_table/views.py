"""The drawing table: opened, acted on, undone, kept. Every act is a form; a hand on the picture sends the same ones."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db.models import Case, QuerySet, When
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.models import Event, Status
from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import Design
from quoting.craft.table.acted import Acted
from quoting.craft.table.acts import apply
from quoting.design_library import library
from quoting.design_library.forms import NameForm
from quoting.drawing_table import drafts, keeping, naming, opening, sending, words
from quoting.drawing_table.along import Gripped
from quoting.drawing_table.answers import Answer, answer
from quoting.drawing_table.forms import UPLOAD, SentAct
from quoting.drawing_table.presenter import Asked
from quoting.drawing_table.printing import with_kept_image
from quoting.drawing_table.shelf import read_shelf
from quoting.models import TableDraft
from quoting.prints import images
from quoting.quotes.steps import ClosedSketch
from studio.people.body_limits import PICTURE_BYTES, takes_bodies_of
from studio.people.gates import studio_page
from studio.people.page_request import StudioRequest, clean_text
from studio.tenancy import links
from studio.tenancy.rights import Right

MOST_COMING = 60
LONGEST_KEY = 40
INTO_QUOTE = "quoting:table-into-quote"
SAVE = "quoting:table-save"


@require_safe
@studio_page(Right.EDIT_QUOTES)
def table(request: StudioRequest, draft_id: int) -> HttpResponse:
    """The page of one draft; ``?thing=`` says what is selected, ``?add=`` what is to be added."""
    gripped = Gripped(request.GET.get("point", ""), request.GET.get("knot", ""))
    asked = Asked(request.GET.get("thing", ""), request.GET.get("add", ""), gripped=gripped)
    return answer(request, drafts.find_draft(draft_id), asked)


@takes_bodies_of(PICTURE_BYTES)
@require_POST
@studio_page(Right.EDIT_QUOTES)
def act(request: StudioRequest, draft_id: int) -> HttpResponse:
    """Make one act. An image that comes along is kept first."""
    studio = request.tenant.studio
    try:
        sent = with_kept_image(request.POST.dict(), request.FILES.get(UPLOAD))
    except ValidationError as fault:
        return _refused(request, draft_id, {UPLOAD: fault.messages})
    form = SentAct(sent, studio.units)
    if not form.is_valid():
        return _refused(
            request, draft_id, {name: [str(words) for words in found] for name, found in form.errors.items()}
        )
    shelf = read_shelf().shelf
    made: list[Acted] = []

    def change(design: Design) -> tuple[Design, str]:
        acted = apply(design, sending.act_of(form.act, form.values, design, shelf), shelf)
        made.append(acted)
        return naming.renamed(design, acted.design), words.done_words(acted, studio.units)

    try:
        draft = drafts.act(draft_id, change, version=_version(request), key=_key(request))
    except DesignError as error:
        return _refused(request, draft_id, words.fault_words(error, studio.units, sent.get("field", "")))
    except drafts.StaleDraft as stale:
        return _stale(request, stale)
    return _done(request, draft, made[-1] if made else None)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def delete_image(request: StudioRequest, draft_id: int) -> HttpResponse:
    """Delete an image of the studio's; the design on the table keeps naming it, and its cover is plain."""
    draft = drafts.find_draft(draft_id)
    gone = images.delete(clean_text(request.POST.get("image", "")))
    messages.success(request, f"The image {gone.name} was deleted.")
    return answer(request, draft, Asked(request.POST.get("thing", "")))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def undo(request: StudioRequest, draft_id: int) -> HttpResponse:
    """Back by one step."""
    return _gone(request, draft_id, drafts.undo)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def redo(request: StudioRequest, draft_id: int) -> HttpResponse:
    """Forward again by one step."""
    return _gone(request, draft_id, drafts.redo)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def open_new(request: StudioRequest) -> HttpResponse:
    """An empty design, in the colours that were sent with it or in the studio's own."""
    return _to_table(opening.open_empty(request.tenant.studio, request.POST.get("colours", "")))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def open_design(request: StudioRequest, template_id: int) -> HttpResponse:
    """A design of the studio on the table."""
    return _to_table(drafts.open_template(template_id))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def open_for_quote(request: StudioRequest, quote_id: int) -> HttpResponse:
    """An empty design that becomes a piece of a quote."""
    return _opened(request, quote_id, lambda: opening.open_for_quote(quote_id, request.tenant.studio))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def open_piece(request: StudioRequest, quote_id: int, piece_id: int) -> HttpResponse:
    """A piece of a quote on the table."""
    return _opened(request, quote_id, lambda: drafts.open_piece(quote_id, piece_id))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def start_quote(request: StudioRequest, event_id: int) -> HttpResponse:
    """A quote for an event that starts from nothing."""
    try:
        return _to_table(opening.start_quote(_event(event_id), request.tenant.studio))
    except ValidationError as fault:
        messages.error(request, " ".join(fault.messages))
        return redirect(links.to("quoting:quote-start", event_id))


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_QUOTES)
def save_as_design(request: StudioRequest, draft_id: int) -> HttpResponse:
    """Keep the draft as a new design of the studio's own."""
    draft = drafts.find_draft(draft_id)
    name = draft.name if draft.template_id is None and draft.name != naming.UNNAMED else ""
    form = NameForm(request.POST if request.method == "POST" else None, initial={"name": name})
    if form.is_bound and form.is_valid():
        try:
            made = keeping.keep_as_design(draft_id, form.cleaned_data["name"], request.tenant.studio)
        except ValidationError as fault:
            _add_faults(form, fault)
        else:
            messages.success(request, f"{made.name} was added to your designs.")
            return redirect(links.to("quoting:table", draft_id))
    context = {"form": form, "draft": draft}
    status = 422 if form.errors else 200
    return render(request, "quoting/drawing_table/save.html", context, status=status)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def save_design(request: StudioRequest, draft_id: int) -> HttpResponse:
    """Keep the draft in the design that it changes."""
    studio, anyway = request.tenant.studio, "anyway" in request.POST
    try:
        made = keeping.save_design(draft_id, studio, version=_version(request), anyway=anyway)
    except ValidationError as fault:
        return _not_kept(request, draft_id, fault, SAVE)
    messages.success(request, f"{made.name} was saved.")
    return redirect(links.to("quoting:table", draft_id))


@require_POST
@studio_page(Right.EDIT_QUOTES)
def into_quote(request: StudioRequest, draft_id: int) -> HttpResponse:
    """Put the draft into its quote, and go there."""
    anyway = "anyway" in request.POST
    try:
        piece = keeping.put_into_quote(draft_id, version=_version(request), anyway=anyway)
    except ValidationError as fault:
        return _not_kept(request, draft_id, fault, INTO_QUOTE)
    return redirect(links.to("quoting:quote", piece.quote_id) + f"?piece={piece.pk}")


@require_http_methods(["GET", "HEAD", "POST"])
@studio_page(Right.EDIT_QUOTES)
def quote_with_draft(request: StudioRequest, draft_id: int) -> HttpResponse:
    """Choose the event that the draft is quoted for; the choice makes the quote."""
    draft = drafts.find_draft(draft_id)
    if request.method == "POST":
        try:
            event = _event(_number(request.POST.get("event")))
            made = opening.quote_draft(draft_id, event, request.tenant.studio, version=_version(request))
            return redirect(links.to("quoting:quote", made.pk))
        except ValidationError as fault:
            return _not_kept(request, draft_id, fault)
    context = {
        "name": draft.name, "draft": draft, "events": _coming(_number(request.GET.get("event"))),
        "enquiry": _enquiry(request, opening.drawn_size(draft, request.tenant.studio)),
    }  # fmt: skip
    return render(request, "quoting/drawing_table/quote_with.html", context)


@require_safe
@studio_page(Right.EDIT_QUOTES)
def quote_with_design(request: StudioRequest, template_id: int) -> HttpResponse:
    """Choose the event that a design is quoted for."""
    found = library.template(template_id)
    context = {
        "name": found.name, "template": found, "events": _coming(_number(request.GET.get("event"))),
        "enquiry": _enquiry(request, {}),
    }  # fmt: skip
    return render(request, "quoting/drawing_table/quote_with.html", context)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def throw_away(request: StudioRequest, draft_id: int) -> HttpResponse:
    """Delete a draft; the notice brings it back."""
    gone = drafts.throw_away(draft_id)
    back = links.to("quoting:table-restore", gone.pk)
    messages.success(request, f"{gone.name} was deleted from the drawing table.", extra_tags=back)
    return _to_list(gone)


@require_POST
@studio_page(Right.EDIT_QUOTES)
def bring_back(request: StudioRequest, draft_id: int) -> HttpResponse:
    """List a deleted draft again."""
    return _to_list(drafts.bring_back(draft_id))


# Private


def _to_table(draft: TableDraft) -> HttpResponse:
    return redirect(links.to("quoting:table", draft.pk))


def _to_list(draft: TableDraft) -> HttpResponse:
    """Where a draft is listed: on its quote, or among the designs."""
    if draft.quote_id is not None:
        return redirect(links.to("quoting:quote", draft.quote_id))
    return redirect(links.to("quoting:designs"))


def _opened(request: StudioRequest, quote_id: int, open_draft: Callable[[], TableDraft]) -> HttpResponse:
    """A draft of a quote; back to the quote where that takes no change any more."""
    try:
        return _to_table(open_draft())
    except ClosedSketch as fault:
        messages.error(request, " ".join(fault.messages))
        return redirect(links.to("quoting:quote", quote_id))


def _done(request: StudioRequest, draft: TableDraft, acted: Acted | None) -> HttpResponse:
    """After an act: the page without what was sent, or for a script what changed."""
    sent = request.POST
    thing = (acted.thing if acted else sent.get("thing", "")) or sent.get("selected", "")
    units = request.tenant.studio.units
    said = words.done_words(acted, units) if acted else ""
    also = words.also_words(acted, units) if acted else []
    why = [words.guide_words(guide, acted.design) for guide in acted.guides] if acted else []
    shown = Answer(said=said[:1].upper() + said[1:], also=tuple(also), why=tuple(why))
    return answer(request, drafts.find_draft(draft.pk), Asked(thing, gripped=_gripped(request)), shown)


def _gone(request: StudioRequest, draft_id: int, go: Callable[..., TableDraft]) -> HttpResponse:
    asked = Asked(request.POST.get("thing", ""), gripped=_gripped(request))
    try:
        draft = go(draft_id, version=_version(request), key=_key(request))
    except drafts.StaleDraft as stale:
        return answer(request, stale.draft, asked, Answer(problem=" ".join(stale.messages), is_stale=True))
    except ValidationError as fault:
        return answer(request, drafts.find_draft(draft_id), asked, Answer(problem=" ".join(fault.messages)))
    draft = drafts.find_draft(draft.pk)
    back, forward = drafts.neighbours(draft)
    said = f"Undone: {forward}" if go is drafts.undo else f"Done again: {back}"
    return answer(request, draft, asked, Answer(said=said))


def _refused(request: StudioRequest, draft_id: int, faults: dict[str, list[str]]) -> HttpResponse:
    """The act can't be made: said at its fields, everything typed stays."""
    asked = _as_sent(request)
    return answer(request, drafts.find_draft(draft_id), asked, Answer(faults=faults))


def _stale(request: StudioRequest, stale: drafts.StaleDraft) -> HttpResponse:
    """Somebody was faster: how it stands now, with what was typed still in its boxes, to be sent again."""
    asked = _as_sent(request)
    return answer(request, stale.draft, asked, Answer(problem=" ".join(stale.messages), is_stale=True))


def _not_kept(
    request: StudioRequest, draft_id: int, fault: ValidationError, replace_at: str = ""
) -> HttpResponse:
    """What was drawn went nowhere; where it would take back what somebody changed it can be sent all the same."""
    changed = isinstance(fault, keeping.ChangedElsewhere)
    shown = Answer(
        problem=" ".join(fault.messages), is_stale=isinstance(fault, drafts.StaleDraft),
        replace_at=links.to(replace_at, draft_id) if changed else "",
    )  # fmt: skip
    return answer(request, drafts.find_draft(draft_id), Asked(), shown)


def _event(event_id: int) -> Event:
    event = Event.objects.select_related("client", "venue").filter(pk=event_id).first()
    if event is None:
        raise Http404
    return event


def _coming(first: int) -> QuerySet[Event]:
    """The events to come, one of them before the others where it was taken just now."""
    events = Event.objects.select_related("client", "venue").exclude(status=Status.CANCELLED)
    coming = events.filter(ready_by__gte=timezone.now())
    return coming.order_by(Case(When(pk=first, then=0), default=1), "ready_by", "pk")[:MOST_COMING]


def _enquiry(request: StudioRequest, sizes: Mapping[str, str]) -> str:
    """Where an enquiry is taken, with the size that is drawn; from there it goes back to this page."""
    return f"{links.to('events:enquiry-add')}?{urlencode({**sizes, 'next': request.path})}"


def _version(request: StudioRequest) -> int:
    return _number(request.POST.get("version"))


def _add_faults(form: NameForm, fault: ValidationError) -> None:
    """Faults of the name stand at the name, those of the design above the form."""
    at_fields = fault.message_dict if hasattr(fault, "error_dict") else {NON_FIELD_ERRORS: fault.messages}
    for field, found in at_fields.items():
        form.add_error(field if field in form.fields else None, found)


def _key(request: StudioRequest) -> str:
    """What the page calls an act."""
    return clean_text(request.POST.get("key", ""))[:LONGEST_KEY]


def _as_sent(request: StudioRequest) -> Asked:
    """The page with what was typed still in its boxes."""
    sent = request.POST.dict()
    thing = sent.get("thing", "") or sent.get("selected", "")
    return Asked(thing, sent.get("adding", ""), sent, _gripped(request))


def _gripped(request: StudioRequest) -> Gripped:
    """What the act took hold of, else what the page had before."""
    sent = request.POST
    return Gripped(sent.get("index") or sent.get("point", ""), sent.get("at") or sent.get("knot", ""))


def _number(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 10 else 0
