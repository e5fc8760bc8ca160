"""How the quote page answers after every change: what is new on it, or the whole sheet with what couldn't be done."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping, Set
from functools import partial
from types import MappingProxyType
from urllib.parse import quote as urlquote

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render

from events.models import LOADED_STAGES, Event
from events.progress.presenter import event_beads
from quoting.look_along import looking, presence
from quoting.look_along import presenter as look_page
from quoting.models import Quote, QuoteState, SetPiece
from quoting.quote_page import fragments, presenter
from quoting.quote_page.forms import BudgetForm, FreeLineForm, SketchForm, Way, WayForm
from quoting.quote_page.options_form import OptionsForm, candidates
from quoting.quote_page.price_forms import AdjustForm, ByHandForm, PaymentPlanForm
from quoting.quote_page.site_presenter import site_words
from quoting.quote_page.sketch_fields import Sketched, has_sizes
from quoting.quote_page.standing import Standing, StandingSketch
from quoting.quotes import sheet, steps, stock_view, table_drafts
from quoting.quotes.sheet import Sheet
from quoting.set_pieces.presenter import count_groups, evenness_words
from quoting.set_pieces.size_bench import bench
from quoting.stills import stills
from quoting.variants.forms import AddForm, NameForm
from quoting.variants.presenter import strip_of
from studio.models import Person, PublicLink, Studio
from studio.people.page_request import StudioRequest
from studio.tenancy import links

log = logging.getLogger(__name__)

PAGE = "quoting/quote_page/quote.html"
SHEET = "quoting/quote_page/_sheet.html"


def act(
    request: StudioRequest, quote_id: int, change: Callable[[Sheet, int], Quote], *, colours: Set[str] = frozenset(),
    typed: Mapping[str, forms.Form] = MappingProxyType({}),
) -> HttpResponse:  # fmt: skip
    """Make one change under the version that the page showed; the page says what can't be done.

    ``typed`` are forms as they were sent, by their names in the template.
    """
    read = sheet.lock_sheet(quote_id, request.tenant.studio, colours=colours)
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
        shown = {**context(request, now, piece_id=piece_id, problem=problem), **typed}
        return answer(request, shown, 422)
    return done(request, changed, piece_id)


def answer(
    request: StudioRequest,
    shown: dict[str, object],
    status: int = 200,
    *,
    above: Mapping[str, object] = MappingProxyType({}),
) -> HttpResponse:
    """The page, or for htmx the sheet; of a page that says what it shows only what is new.

    ``above`` is what stands over the sheet on the whole page, which no change of the quote touches.
    """
    found, version = fragments.find_fragments(shown), _version(shown)
    frame = fragments.find_frame(shown, found)
    if frame.unknown:
        log.error("The quote page is sent whole: nothing stands for %s.", ", ".join(frame.unknown))
    known = fragments.read_header(request) if request.htmx and status == 200 and not frame.unknown else {}
    if known.get(fragments.FRAME) == frame.digest:
        new = [each for name, each in found.items() if known.get(name) != each.digest]
        response = HttpResponse("".join(each.render(request, version, alone=True) for each in new))
        response["HX-Reswap"] = "none"
    else:
        drawn = {
            name.replace("-", "_"): partial(each.render, request, version, alone=False)
            for name, each in found.items()
        }
        whole = {**shown, **above, "fragments": drawn, "frame": frame.digest}
        response = render(request, SHEET if request.htmx else PAGE, whole, status=status)
    response["X-Version"] = str(version)
    return response


def refused(request: StudioRequest, quote_id: int, problem: str) -> HttpResponse:
    """The sheet as it stands, whatever part was to be swapped, with what can't be done and why."""
    piece_id = number(request.POST.get("piece"))
    shown = context(request, read_now(request, quote_id), piece_id=piece_id, problem=problem)
    response = answer(request, shown, 422)
    response["HX-Retarget"], response["HX-Reswap"] = "#quote", "morph:outerHTML"
    return response


def read_now(request: StudioRequest, quote_id: int) -> Sheet:
    """The sheet of a quote as it stands, to be shown."""
    return sheet.read_sheet(sheet.find_quote(quote_id), request.tenant.studio, pictures=False)


def context(
    request: StudioRequest,
    read: Sheet,
    *,
    piece_id: int | None = None,
    problem: str = "",
    **typed: forms.Form,
) -> dict[str, object]:
    """Everything that the page shows of a quote. Four queries besides those of the sheet.

    ``typed`` are forms as they were sent, by their names in the template.
    """
    found = read.quote
    piece = presenter.shown(read.pieces, piece_id)
    link = looking.find_open_link(found.pk)
    if piece and link:
        presence.put_on_bench(found.pk, piece.pk)
    may_edit = found.is_open and request.tenant.can("EDIT_QUOTES")
    return {
        "quote": found,
        "event": found.event,
        "studio": read.studio,
        "beads": event_beads(found.event),
        "tabs": [(each.pk, each.name) for each in read.pieces],
        "piece": piece,
        "tools": "",
        **(_of_piece(piece, found.event, read.studio) if piece else {}),
        **_price(read, piece),
        **_on_the_day(read),
        **_forms(read, piece, may_edit=may_edit),
        "offer": links.to("quoting:offer-make", found.pk) if found.is_open and read.pieces else "",
        "may_edit": may_edit,
        "may_fit": may_edit and piece is not None,
        "stills_made": stills.are_made(),
        "may_copy": request.tenant.can("EDIT_QUOTES"),
        "unplaced": table_drafts.find_unplaced(found) if may_edit and read.beside.has_drafts else [],
        "can_undo": may_edit and steps.can_undo(read),
        "saved_by": _saved_by(found, request.tenant.person),
        "look": _look_along(request, found, link),
        "strip": strip_of(read, may_edit=may_edit),
        "add_form": AddForm(),
        "name_form": NameForm(initial={"name": found.variant_name}),
        "problem": problem,
        # Filled where a budget or the shelf was fitted.
        "fit_waits": None,
        "fit_words": None,
        "versions": None,
        "proposal": None,
        **typed,
    }


def number(text: str | None) -> int | None:
    """A whole number out of a request; None for anything else."""
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 18 else None


def done(
    request: StudioRequest, changed: Quote, piece_id: int | None, *, altered: Sheet | None = None
) -> HttpResponse:
    """The sheet as it stands after a change; without scripts, the page at its own address.

    ``altered`` is the sheet as it then stands: it isn't read again.
    """
    if request.htmx:
        read = altered or sheet.read_sheet(changed, request.tenant.studio, pictures=False)
        return answer(request, context(request, read, piece_id=piece_id))
    return redirect(links.to("quoting:quote", changed.pk) + (f"?piece={piece_id}" if piece_id else ""))


def at_fields(form: forms.Form, fault: ValidationError) -> None:
    """Put each message at the field that it belongs to, or at the form where it belongs to none."""
    by_field = fault.message_dict if hasattr(fault, "error_dict") else {"__all__": fault.messages}
    for field, messages in by_field.items():
        for message in messages:
            form.add_error(field if field in form.fields else None, message)


def sketch_form(read: Sheet, piece: SetPiece, data: Mapping[str, object] | None = None) -> SketchForm:
    """The form of a piece, as it stands or as typed."""
    return SketchForm(data, made=_sketched(read, piece), names=_names(read, piece))


def way_of(found: Quote) -> Way:
    """The way to the venue, as its form starts."""
    return Way(found.distance_m, found.drive_minutes, found.trips)


# Private


def _version(shown: Mapping[str, object]) -> int:
    quote = shown["quote"]
    assert isinstance(quote, Quote)
    return quote.version


def _saved_by(quote: Quote, reader: Person) -> str:
    """Who changed it last, where that was somebody else."""
    by = quote.changed_by
    return str(by.get_short_name()) if by and quote.changed_by_id != reader.pk else ""


def _of_piece(piece: SetPiece, event: Event, studio: Studio) -> dict[str, object]:
    """What is shown of the piece on the bench."""
    units = studio.units
    site = site_words(piece, event, units)
    return {
        "bench": bench(piece.picture, piece.takeoff, ceiling_m=event.ceiling_m, units=units),
        "headline": presenter.headline(piece, units),
        "too_high": presenter.too_high(piece, event.ceiling_m, units),
        "comes_out": presenter.comes_out(piece, units),
        "fullness_words": presenter.fullness_words(piece),
        "site": site,
        "has_site_minds": bool(site.minds or site.limits),
        "evenness": evenness_words(piece.takeoff.evenness),
        "counts": count_groups(piece.takeoff, units),
        "tasks": presenter.tasks(piece, units),
        "tools": presenter.tool_words(piece),
    }


def _price(read: Sheet, piece: SetPiece | None) -> dict[str, object]:
    """The tape, what it is built from for people who may see costs, and what has no price yet."""
    tape, studio = read.tape, read.studio
    place = list(read.pieces).index(piece) if piece else 0
    names = [each.name for each in read.pieces]
    return {
        "tape": presenter.tape_rows(
            tape,
            studio,
            names=names,
            shown_piece=place,
            beside_total=presenter.travel_words(read),
            budget=read.beside.budget,
        ),
        "bar": presenter.bar(tape, studio),
        "parts": presenter.payment_rows(tape, read.quote, studio),
        "inside": presenter.inside_rows(tape, studio),
        "built": presenter.built(tape, studio) if tape.inside else [],
        "unpriced": read.unpriced if tape.inside else [],
        "unpriced_words": presenter.unpriced_words(read.unpriced),
    }


def _on_the_day(read: Sheet) -> dict[str, object]:
    """Stock and crew on the day of the event. What the van was loaded with isn't asked of the stock any more."""
    crew = {"hours": presenter.hours(read), "crew_words": presenter.crew_words(read)}
    if read.quote.state == QuoteState.AGREED and read.quote.event.stage in LOADED_STAGES:
        return {"is_loaded": True, "shelf": [], "has_missing": False, **crew}
    window = read.quote.event.hold_window()
    held = stock_view.with_event_hold(read.quote, read.beside.offered_holds)
    now = stock_view.with_swaps(read.quote, read.needs, read.items, read.labels)
    needs = stock_view.on_the_day(now.quantities, now.items, window, besides=held)
    return {
        "is_loaded": False,
        "shelf": stock_view.words(needs, now.labels, read.studio, swapped_in=now.swapped_in),
        "has_missing": any(code not in now.items for code in now.quantities),
        **crew,
    }


def _forms(read: Sheet, piece: SetPiece | None, *, may_edit: bool) -> dict[str, object]:
    """The page's forms as the quote stands, and which of them stand on the page."""
    quote, studio = read.quote, read.studio
    terms = (studio.currency, studio.locale)
    keyed = [(line.key, line.label) for line in read.tape.lines if line.key]
    made = _sketched(read, piece) if piece else None
    return {
        "has_sizes": made is not None and has_sizes(made),
        "may_set_by_hand": may_edit and bool(keyed),
        "may_mark_options": may_edit and bool(read.pieces or read.free_lines),
        "form": StandingSketch(made, _names(read, piece)) if piece and made else None,
        "line_form": Standing(
            lambda: FreeLineForm(studio=studio, taxes=read.taxes),
            *terms,
            [(tax.pk, str(tax)) for tax in read.taxes],
        ),
        "adjust_form": Standing(
            lambda: AdjustForm(quote=quote, studio=studio, usual_rush=read.rates.rush_percent),
            *terms,
            (quote.rush_percent, quote.discount_percent, quote.discount_amount, quote.discount_reason),
            read.rates.rush_percent,
        ),
        "plan_form": Standing(
            lambda: PaymentPlanForm(quote=quote, studio=studio, rates=read.rates),
            *terms,
            (quote.instalments, quote.deposit_percent, quote.deposit_amount, quote.client_view),
            (studio.deposit_percent, read.rates.deposit_amount, read.rates.client_view),
        ),
        "by_hand_form": Standing(lambda: ByHandForm(lines=read.tape.lines, studio=studio), *terms, keyed),
        "way_form": Standing(
            lambda: WayForm(
                unit=read.rates.distance_unit, initial=way_of(quote), by_distance=read.bands is not None
            ),
            (read.rates.distance_unit, read.bands is not None),
            way_of(quote),
        ),
        "options_form": Standing(lambda: OptionsForm(sheet=read), list(candidates(read))),
        "budget_form": Standing(lambda: BudgetForm(studio=studio), *terms),
    }


def _sketched(read: Sheet, piece: SetPiece) -> Sketched:
    """What the form of a piece is made from."""
    return Sketched(
        design=piece.read_design(),
        size=(piece.width_m, piece.height_m),
        owned=read.owned,
        units=read.studio.units,
        fullest=presenter.fullest(piece.takeoff),
    )


def _names(read: Sheet, piece: SetPiece) -> dict[str, object]:
    return {"version": read.quote.version, "piece": piece.pk}


def _look_along(request: StudioRequest, quote: Quote, link: PublicLink | None) -> dict[str, object] | None:
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
