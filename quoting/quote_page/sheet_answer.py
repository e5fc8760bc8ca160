"""How the quote page answers: the whole sheet after every change, with what couldn't be done."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Set
from typing import Any
from urllib.parse import quote as urlquote

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from events.models import Event
from quoting.craft.design.design_file import read_design
from quoting.look_along import looking, presence
from quoting.look_along import presenter as look_page
from quoting.models import Quote, SetPiece
from quoting.quote_page import presenter
from quoting.quote_page.forms import BudgetForm, FreeLineForm, SketchForm, WayForm
from quoting.quote_page.options_form import OptionsForm
from quoting.quote_page.price_forms import AdjustForm, ByHandForm, PaymentPlanForm
from quoting.quote_page.site_presenter import site_words
from quoting.quotes import sheet, steps, stock_view
from quoting.quotes.sheet import Sheet
from quoting.set_pieces.presenter import count_groups, evenness_words
from quoting.set_pieces.size_bench import bench
from studio.models import PublicLink, Studio
from studio.tenancy import links

PAGE = "quoting/quote_page/quote.html"
SHEET = "quoting/quote_page/_sheet.html"


def act(
    request: HttpRequest, quote_id: int, change: Callable[[Sheet, int], Quote], *, colours: Set[str] = frozenset(),
    **typed: forms.Form,
) -> HttpResponse:  # fmt: skip
    """Make one change under the version that the page showed; the page says what can't be done."""
    read = sheet.lock_sheet(quote_id, studio_of(request), colours=colours)
    piece_id = number(request.POST.get("piece"))
    try:
        changed = change(read, number(request.POST.get("version")) or 0)
    except ValidationError as fault:
        problem = ""
        if typed and not isinstance(fault, steps.StaleSketch):
            for form in typed.values():
                at_fields(form, fault)
        else:
            problem = " ".join(fault.messages)
        now = read_now(request, quote_id)
        shown = context(request, now, piece_id=piece_id, problem=problem, **typed)  # type: ignore[arg-type]
        return answer(request, shown, 422)
    return done(request, changed, piece_id)


def answer(
    request: HttpRequest, shown: dict[str, Any], status: int = 200, *, part: str = SHEET
) -> HttpResponse:
    """The page, or for htmx the part of it that changes."""
    return render(request, part if request.htmx else PAGE, shown, status=status)  # type: ignore[attr-defined]


def refused(request: HttpRequest, quote_id: int, problem: str) -> HttpResponse:
    """The sheet as it stands, whatever part was to be swapped, with what can't be done and why."""
    piece_id = number(request.POST.get("piece"))
    shown = context(request, read_now(request, quote_id), piece_id=piece_id, problem=problem)
    response = answer(request, shown, 422)
    response["HX-Retarget"], response["HX-Reswap"] = "#quote", "morph:outerHTML"
    return response


def read_now(request: HttpRequest, quote_id: int) -> Sheet:
    """The sheet of a quote as it stands, to be shown."""
    return sheet.read_sheet(sheet.find_quote(quote_id), studio_of(request), pictures=False)


def context(
    request: HttpRequest,
    read: Sheet,
    *,
    piece_id: int | None = None,
    form: SketchForm | None = None,
    line_form: FreeLineForm | None = None,
    adjust_form: AdjustForm | None = None,
    by_hand_form: ByHandForm | None = None,
    plan_form: PaymentPlanForm | None = None,
    way_form: WayForm | None = None,
    options_form: OptionsForm | None = None,
    problem: str = "",
) -> dict[str, Any]:
    """Everything that the page shows of a quote. Three queries besides those of the sheet."""
    studio, found = studio_of(request), read.quote
    piece = presenter.shown(read.pieces, piece_id)
    place = list(read.pieces).index(piece) if piece else 0
    look = looking.find_open_link(found.pk)
    if piece and look:
        presence.put_on_bench(found.pk, piece.pk)
    tape = read.tape
    may_edit = found.is_open and request.tenant.can("EDIT_QUOTES")  # type: ignore[attr-defined]
    return {
        "quote": found,
        "event": found.event,
        "studio": studio,
        "beads": event_beads(found.event),
        "pieces": read.pieces,
        "piece": piece,
        **(_of_piece(piece, found.event, studio) if piece else {}),
        "form": form or (sketch_form(read, piece) if piece else None),
        "tape": presenter.tape_rows(
            tape, studio, names=[each.name for each in read.pieces], shown_piece=place
        ),
        **_costs(read, studio),
        "shelf": _shelf_words(read, studio),
        "hours": presenter.hours(read),
        "crew_words": presenter.crew_words(read),
        "parts": presenter.payment_rows(tape, found, studio),
        "line_form": line_form or FreeLineForm(studio=studio, taxes=read.taxes),
        "adjust_form": adjust_form
        or AdjustForm(quote=found, studio=studio, usual_rush=read.rates.rush_percent),
        "plan_form": plan_form or PaymentPlanForm(quote=found, studio=studio),
        "by_hand_form": by_hand_form or ByHandForm(lines=tape.lines, studio=studio),
        "way_form": way_form or WayForm(unit=read.rates.distance_unit, initial=way_of(found)),
        "options_form": options_form or OptionsForm(sheet=read),
        "budget_form": BudgetForm(studio=studio),
        "offer": links.to("quoting:offer-make", found.pk) if found.is_open and read.pieces else "",
        "may_edit": may_edit,
        "can_undo": may_edit and steps.can_undo(found),
        "look": _look_along(request, found, look),
        "problem": problem,
    }


def studio_of(request: HttpRequest) -> Any:
    """The studio whose page this is."""
    return request.tenant.studio  # type: ignore[attr-defined]


def number(text: str | None) -> int | None:
    """A whole number out of a request; None for anything else."""
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 18 else None


def done(
    request: HttpRequest, changed: Quote, piece_id: int | None, *, altered: Sheet | None = None
) -> HttpResponse:
    """The sheet as it stands after a change; without scripts, the page at its own address.

    ``altered`` is the sheet whose pieces were altered in place: it isn't read again.
    """
    if request.htmx:  # type: ignore[attr-defined]
        read = (
            sheet.refresh(altered)
            if altered
            else sheet.read_sheet(changed, studio_of(request), pictures=False)
        )
        return answer(request, context(request, read, piece_id=piece_id))
    return redirect(links.to("quoting:quote", changed.pk) + (f"?piece={piece_id}" if piece_id else ""))


def at_fields(form: forms.Form, fault: ValidationError) -> None:
    """Put each message at the field that it belongs to, or at the form where it belongs to none."""
    told = fault.message_dict if hasattr(fault, "error_dict") else {"__all__": fault.messages}
    for field, messages in told.items():
        for message in messages:
            form.add_error(field if field in form.fields else None, message)


def sketch_form(read: Sheet, piece: SetPiece, data: Mapping[str, Any] | None = None) -> SketchForm:
    """The form of a piece, as it stands or as typed."""
    return SketchForm(
        data,
        design=read_design(piece.design),
        size=(piece.width_m, piece.height_m),
        owned=read.owned,
        units=read.studio.units,
        names={"version": read.quote.version, "piece": piece.pk},
    )


def way_of(found: Quote) -> dict[str, Any]:
    """The way to the venue, as its form starts."""
    return {"distance_m": found.distance_m, "drive_minutes": found.drive_minutes, "trips": found.trips}


# Private


def _of_piece(piece: SetPiece, event: Event, studio: Studio) -> dict[str, Any]:
    """What is shown of the piece on the bench."""
    units = studio.units
    return {
        "bench": bench(piece.picture, piece.takeoff, ceiling_m=event.ceiling_m, units=units),
        "headline": presenter.headline(piece, units),
        "too_high": presenter.too_high(piece, event.ceiling_m, units),
        "comes_out": presenter.comes_out(piece, units),
        "site": site_words(piece, event, units),
        "evenness": evenness_words(piece.takeoff.evenness),
        "counts": count_groups(piece.takeoff, units),
        "tasks": presenter.tasks(piece, units),
    }


def _costs(read: Sheet, studio: Studio) -> dict[str, Any]:
    """What the price is built from, for whoever may see costs, and what has no price yet."""
    tape = read.tape
    return {
        "inside": presenter.inside_rows(tape, studio),
        "built": presenter.built(tape, studio) if tape.inside else [],
        "unpriced": read.unpriced if tape.inside else [],
        "unpriced_words": presenter.unpriced_words(read.unpriced),
    }


def _shelf_words(read: Sheet, studio: Studio) -> Any:
    event = read.quote.event
    standing = stock_view.on_the_day(read.needs, read.items, event.hold_window(), besides=event.hold_id)
    return stock_view.words(standing, read.labels, studio)


def _look_along(request: HttpRequest, quote: Quote, link: PublicLink | None) -> dict[str, Any] | None:
    """How the client can watch, if so: until when, the link's address, and how to send it."""
    if link is None:
        return None
    address, client = look_page.kept_address(request, link.handle), quote.event.client
    body = urlquote(address, safe="")
    return {
        "until": link.expires_at,
        "address": address,
        "sms": f"sms:{client.phone}?body={body}",
        "mailto": f"mailto:{client.email}?subject={urlquote(quote.title, safe='')}&body={body}",
    }
