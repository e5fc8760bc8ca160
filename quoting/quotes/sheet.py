"""A quote with everything that its page, its price and its offer are made from, read in a fixed number of queries."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from datetime import timedelta
from decimal import Decimal
from functools import cached_property

from django.http import Http404
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from quoting.craft.sheets.stored import StoredLine
from quoting.models import ClientView, FreeLine, Quote, Rates, SetPiece, Supply, SupplyKind
from quoting.pricing import rates as rating
from quoting.pricing.client_lines import Shown
from quoting.pricing.delivery import band_of
from quoting.pricing.inputs import Adjustments, Band, ByHand, Extra, Goods, PriceTerms, Share, Way, Work
from quoting.pricing.tape import PaidHours, Tape, paid_hours, price
from quoting.quotes import staffing, stock_view
from quoting.quotes.beside import NOTHING, Beside, beside
from quoting.quotes.options import Option, at_first, chosen_of, options_of
from quoting.quotes.staffing import Crew
from quoting.set_pieces import kits
from quoting.set_pieces.alter import Owned
from quoting.set_pieces.presenter import frame_words
from stock.catalogue import items as catalogue
from stock.models import HirePer, Item, Kind
from studio import tenancy
from studio.measures.languages import inside
from studio.models import Studio, TaxRate, entered_studio
from studio.tenancy.access import require
from studio.tenancy.kept_query import Given, GivenMany, KeptQuery
from studio.tenancy.rights import Right, may

SIZES = (5, 11, 17, 24, 36)
"""Nominal sizes of rounds [inches] that a design can come to use."""
PARTS = ("garland", "frames", "florals", "sign", "foils", "props", "letterings")
"""Parts of the picture in the order in which the tape names them."""
PART_NAMES = {
    "florals": gettext_lazy("Florals"), "foils": gettext_lazy("Foil balloons"), "props": gettext_lazy("Props"),
    "letterings": gettext_lazy("Lettering"),
}  # fmt: skip
"""What the tape calls those whose pieces it lists."""


_QUOTE = Quote.objects.select_related("event__client", "event__venue", "changed_by")
_QUOTES = KeptQuery(lambda: _QUOTE.filter(pk=Given("quote"))[:1])
_LOCKED = KeptQuery(lambda: _QUOTE.filter(pk=Given("quote")).select_for_update(of=("self",)))
_PIECES = KeptQuery(lambda: SetPiece.objects.filter(quote_id=Given("quote")))
_UNDRAWN = KeptQuery(lambda: SetPiece.objects.filter(quote_id=Given("quote")).defer("picture"))
_FREE_LINES = KeptQuery(lambda: FreeLine.objects.filter(quote_id=Given("quote")))
_SUPPLIES = KeptQuery(
    lambda: Supply.objects.filter(quote_id=Given("quote"), code__in=GivenMany("codes", "text")).values_list(
        "code", "kind", "cost"
    )
)
_TAXES = KeptQuery(TaxRate.objects.all)


@dataclass(frozen=True, slots=True)
class QuotedLine:
    """A line of a set piece's bill, with the piece's name and place within the quote."""

    line: StoredLine
    piece: str
    place: int


@dataclass(frozen=True)
class Sheet:
    """One quote, loaded."""

    studio: Studio
    quote: Quote
    pieces: Sequence[SetPiece]
    free_lines: Sequence[FreeLine]
    rates: Rates
    taxes: Sequence[TaxRate]
    items: Mapping[str, Item]
    owned: Owned
    crew: Crew
    bands: tuple[Band, ...] | None = None
    """Delivery prices by distance; none where delivery is reckoned from costs."""
    asked: Set[str] = frozenset()
    """Codes that the shelf was asked for, whether it knows them or not."""
    supplied: Mapping[str, Decimal] = field(default_factory=dict)
    """What one costs, by code, of what the shelf doesn't know and is bought, hired or made for this quote."""
    is_locked: bool = False
    """Whether nobody else can change the quote until the transaction ends."""
    beside: Beside = NOTHING
    """What else there is of the quote, to be asked for."""
    altered: list[tuple[SetPiece, tuple[str, ...]]] = field(default_factory=list)
    """Pieces that were altered in place, with the fields that are yet to be saved."""
    has_earlier: bool = False
    """Whether a step was just made, so that there is an earlier sketch to go back to."""

    def note_altered(self, piece: SetPiece, *fields: str) -> None:
        """Note fields of a piece that were altered: the step of which that is a part saves them."""
        self.altered.append((piece, fields))

    @cached_property
    def bill(self) -> list[QuotedLine]:
        """Every line of every piece's bill."""
        return [
            QuotedLine(line, piece.name, place)
            for place, piece in enumerate(self.pieces)
            for line in piece.takeoff.bill
        ]

    @cached_property
    def needs(self) -> dict[str, int]:
        """Quantity by code over all pieces."""
        total: Counter[str] = Counter()
        for quoted in self.bill:
            total[quoted.line.code] += quoted.line.quantity
        return dict(total)

    @cached_property
    def labels(self) -> dict[str, str]:
        """What the bill calls each code."""
        return {quoted.line.code: quoted.line.label for quoted in self.bill}

    @cached_property
    def minutes(self) -> dict[str, float]:
        """Minutes of one person by task, over all pieces, in working order."""
        total: dict[str, float] = {}
        for piece in self.pieces:
            for task in piece.takeoff.tasks:
                total[task.task] = round(total.get(task.task, 0.0) + task.minutes, 2)
        return total

    @cached_property
    def work(self) -> Work:
        """Minutes by phase, and the largest crew that any piece asks for."""
        phases: defaultdict[str, float] = defaultdict(float)
        for piece in self.pieces:
            for task in piece.takeoff.tasks:
                phases[task.phase] += task.minutes
        crew = max((piece.takeoff.crew for piece in self.pieces), default=1)
        return Work(
            crew=crew, **{phase: Decimal(str(round(minutes, 2))) for phase, minutes in phases.items()}
        )

    @property
    def has_way(self) -> bool:
        """Whether anything is known of the way to the venue: without it no travel is in the price."""
        return bool(self.quote.distance_m or self.quote.drive_minutes)

    @cached_property
    def unpriced_codes(self) -> list[str]:
        """Codes of what the bill needs and neither the shelf, a rate nor a supply knows a cost of."""
        printed = {line.code for piece in self.pieces for line in piece.takeoff.bill if line.area_m2}
        known = set(self.supplied) | (printed if self.rates.print_m2 else set())
        return [
            code
            for code in self.needs
            if code not in known and not stock_view.is_priced(self.items.get(code))
        ]

    @property
    def unpriced(self) -> list[str]:
        """The same, as the bill calls them."""
        return [self.labels[code] for code in self.unpriced_codes]

    @cached_property
    def options(self) -> tuple[Option, ...]:
        """What the client will be able to switch on and off."""
        return options_of(self)

    @cached_property
    def whole_tape(self) -> Tape:
        """The price with cost and margin, of what stands in the offer at first: for the owner, and for this room."""
        return self.tape_with(at_first(self.options))

    def tape_with(self, chosen: Set[str]) -> Tape:
        """The price with cost and margin, of the options chosen and of all that is no option."""
        return self.with_choice(chosen)._tape()

    def with_choice(self, chosen: Set[str]) -> Sheet:
        """The sheet as if only the chosen options had been quoted."""
        pieces, free_lines = chosen_of(self, self.options, chosen)
        return replace(self, pieces=pieces, free_lines=free_lines)

    def _tape(self) -> Tape:
        return price(
            shares=[share for place, piece in enumerate(self.pieces) for share in self._shares(place, piece)],
            work=self._paid_work() if self.pieces else None,
            way=Way(self.quote.distance_m, self.quote.drive_minutes, self.quote.trips),
            extras=[self._extra(line) for line in self.free_lines],
            rates=rating.price_rates(self.rates, self.bands),
            terms=self.terms,
            adjustments=self.adjustments,
            shown=self.shown,
        )

    @property
    def shown(self) -> Shown:
        """How much of the price the client reads: as the quote says, or else the studio."""
        rates = self.rates
        return Shown(
            ClientView(self.quote.client_view or rates.client_view),
            counts=rates.clients_see_counts,
            hours=rates.clients_see_hours,
            names=tuple(piece.name for piece in self.pieces),
        )

    @property
    def lacks_delivery(self) -> bool:
        """Whether the van goes, and no delivery price of the studio's reaches as far, or nobody said how far."""
        quote = self.quote
        if self.bands is None or not quote.trips or not self.pieces:
            return False
        return band_of(self.bands, quote.distance_m, self.rates.distance_unit) is None

    def _paid_work(self) -> Work:
        """The work without the washing where the studio has a price for that, as from a laundry."""
        return replace(self.work, washing=Decimal(0)) if self.rates.cover_care else self.work

    @cached_property
    def hours(self) -> tuple[PaidHours, ...]:
        """Hours of one person by phase, worked and paid; with the washing, whoever does it."""
        return paid_hours(self.work, rating.price_rates(self.rates))

    @property
    def terms(self) -> PriceTerms:
        """Currency, taxes and deposit: the quote's own where it has one."""
        terms = rating.price_terms(self.studio, list(self.taxes))
        quote = self.quote
        if quote.deposit_percent is not None:
            return replace(terms, deposit_percent=quote.deposit_percent)
        amount = self.rates.deposit_amount if quote.deposit_amount is None else quote.deposit_amount
        return replace(terms, deposit_amount=amount)

    @cached_property
    def adjustments(self) -> Adjustments:
        """What is put on or taken off, and which lines were set by hand."""
        kept = {
            f"{part}@{place}": said
            for place, piece in enumerate(self.pieces)
            for part, said in piece.by_hand.items()
        } | self.quote.by_hand
        return Adjustments(
            rush_percent=self.quote.rush_percent,
            discount_percent=self.quote.discount_percent,
            discount_amount=self.quote.discount_amount,
            by_hand={key: ByHand(Decimal(said["amount"]), said["reason"]) for key, said in kept.items()},
        )

    @property
    def tape(self) -> Tape:
        """The price as whoever looks may see it."""
        return (
            self.whole_tape if may(tenancy.current().role, Right.SEE_MARGIN) else self.whole_tape.for_others()
        )

    def _shares(self, place: int, piece: SetPiece) -> list[Share]:
        named = sorted(
            {line.part for line in piece.takeoff.bill}, key=lambda part: (*PARTS, part).index(part)
        )
        return [self._share(place, piece, part) for part in named]

    def _share(self, place: int, piece: SetPiece, part: str) -> Share:
        lines = [line for line in piece.takeoff.bill if line.part == part]
        label, detail = part_words(piece, part, lines)
        if len(self.pieces) > 1:
            label = f"{piece.name}: {inside(label)}"
        goods = [
            self._made_for_it(
                line,
                self._cared_for(
                    stock_view.goods(line.code, line.quantity, self.items, self.rates, self.studio)
                ),
            )
            for line in lines
        ]
        return Share(part, label, detail, tuple(goods), place)

    def _cared_for(self, goods: Goods) -> Goods:
        """With what cleaning a frame or washing a cover costs after each use, and its hire price for the days."""
        item = self.items.get(goods.code)
        if item and goods.price is not None and item.hire_per == HirePer.DAY:
            goods = replace(goods, price=goods.price * self.days)
        care = {Kind.FRAME: self.rates.frame_care, Kind.COVER: self.rates.cover_care}
        known = care.get(Kind(item.kind)) if item else None
        return replace(goods, care=known) if known else goods

    @cached_property
    def days(self) -> int:
        """Days of use: each begun day of 24 hours from the first access to the end of the take-down; at least one."""
        if self.quote._state.adding:  # a piece that belongs to no quote yet
            return 1
        event = self.quote.event
        return max(1, -((event.access_from - event.out_by) // timedelta(days=1)))

    def _made_for_it(self, line: StoredLine, goods: Goods) -> Goods:
        """What is bought, hired or made for this quote alone: at the cost that was said, what is printed else at the
        studio's rate by the area; the shelf's cost where it has one."""
        if line.code in self.items:
            return goods
        said = self.supplied.get(line.code)
        if said is None and line.area_m2 is not None:
            said = self.rates.print_m2 * Decimal(str(line.area_m2))
        return goods if said is None else replace(goods, cost=said)

    def _extra(self, line: FreeLine) -> Extra:
        kept = next((tax for tax in self.taxes if tax.pk == line.tax_id), None) or line.tax
        return Extra(
            line.label, line.quantity, line.unit_price, rating.as_tax(kept) if kept else None, line.pk
        )


def read_sheet(
    quote: Quote, studio: Studio, *, pictures: bool = True, colours: Set[str] = frozenset()
) -> Sheet:
    """The sheet of a quote, in a number of queries that doesn't depend on its rows.

    Without ``pictures`` each piece's picture is read when it is asked for. ``colours`` are about to be needed: their
    latex is read as well, and that of the palettes in every size.
    """
    require(Right.SEE_QUOTES)
    pieces = (_PIECES if pictures else _UNDRAWN).rows(quote=quote.pk)
    for piece in pieces:
        piece.quote = quote
    around, taxes = beside(quote), _TAXES.rows()
    kits.unpack(pieces)
    asked = _codes(pieces) | _latex(pieces, colours)
    items, owned = stock_view.read(asked)
    rates = rating.rates_of(studio)
    return Sheet(
        studio=studio,
        quote=quote,
        pieces=pieces,
        free_lines=_free_lines(quote, taxes) if around.has_lines else [],
        rates=rates,
        taxes=[tax for tax in taxes if tax.retired_at is None],
        items=items,
        owned=owned,
        crew=staffing.crew_among(around.roles, quote.event, has_others=around.has_others),
        bands=rating.bands_of(rates),
        asked=asked,
        supplied=_supplied(quote, _codes(pieces) - set(items)) if around.has_supplies else {},
        beside=around,
    )


def sheet_of_piece(piece: SetPiece, studio: Studio) -> Sheet:
    """A piece that belongs to no quote yet, as if one had it: no way to go, no day, nobody else's crew."""
    require(Right.SEE_QUOTES)
    taxes = _TAXES.rows()
    kits.unpack([piece])
    asked = _codes([piece])
    items, owned = stock_view.read(asked)
    return Sheet(
        studio=studio,
        quote=Quote(title=piece.name, trips=0),
        pieces=[piece],
        free_lines=[],
        rates=rating.rates_of(studio),
        taxes=[tax for tax in taxes if tax.retired_at is None],
        items=items,
        owned=owned,
        crew=Crew(0),
        asked=asked,
    )


def lock_sheet(quote_id: int, studio: Studio, *, colours: Set[str] = frozenset()) -> Sheet:
    """The sheet of a quote that nobody else can change until the transaction ends; 404 for another studio's."""
    quote = find_quote(quote_id, to_change=True)
    return replace(read_sheet(quote, studio, pictures=False, colours=colours), is_locked=True)


def with_pieces(read: Sheet, pieces: Sequence[SetPiece]) -> Sheet:
    """The sheet as if it had these pieces. A query only for what none of its pieces needed before."""
    kits.unpack(pieces)
    new = _codes(pieces) - read.asked - set(read.items)
    items = {**read.items, **stock_view.read(new)[0]} if new else read.items
    more = _supplied(read.quote, new - set(items)) if read.beside.has_supplies else {}
    supplied = {**read.supplied, **more}
    return replace(read, pieces=pieces, items=items, asked=read.asked | new, supplied=supplied)


def refresh(read: Sheet) -> Sheet:
    """The sheet after its pieces were altered in place. A query only for what is newly needed."""
    return with_pieces(read, read.pieces)


def find_quote(quote_id: int, *, to_change: bool = False) -> Quote:
    """A quote of this studio with event, client and venue; 404 for any other.

    ``to_change`` keeps it from being changed by others until the transaction ends.
    """
    require(Right.SEE_QUOTES)
    quote = (_LOCKED if to_change else _QUOTES).first(quote=quote_id)
    if quote is None:
        raise Http404
    quote.studio = entered_studio()
    return quote


def part_words(piece: SetPiece, part: str, lines: Sequence[StoredLine]) -> tuple[str, str]:
    """What the tape calls one part of a set piece, and the smaller print under it."""
    found = piece.takeoff
    if part == "garland":
        sizes: Counter[int] = Counter()
        for count in found.counts:
            sizes[count.size_in] += count.placed
        detail = ", ".join(
            _("%(size)s in × %(count)s") % {"size": size, "count": count}
            for size, count in sorted(sizes.items(), key=_body_first)
        )
        return (
            ngettext("Garland, %(count)s balloon", "Garland, %(count)s balloons", found.balloons)
            % {"count": found.balloons},
            detail,
        )
    if part == "frames":
        label = frame_words(found.frames) or _("hardware")
        return ", ".join([label[:1].upper() + label[1:], *_cover_words(found.covers)]), ""
    if part in PART_NAMES:
        pieces = ", ".join(f"{line.label[:1].lower()}{line.label[1:]} × {line.quantity}" for line in lines)
        return str(PART_NAMES[part]), pieces
    return next((line.label for line in lines if "sign" in line.code), lines[0].label), ""


# Private


def _cover_words(covers: int) -> list[str]:
    if not covers:
        return []
    counted = {1: _("one cover"), 2: _("two covers")}
    return [counted.get(covers) or _("%(count)s covers") % {"count": covers}]


def _codes(pieces: Sequence[SetPiece]) -> set[str]:
    return {line.code for piece in pieces for line in piece.takeoff.bill}


def _latex(pieces: Sequence[SetPiece], colours: Set[str]) -> set[str]:
    """Codes of the latex in every size that the pieces could come to need."""
    palettes = {colour["colour"] for piece in pieces for colour in piece.design["palette"]}
    return {catalogue.latex_code(size, colour) for size in SIZES for colour in palettes | colours}


def _supplied(quote: Quote, unknown: Set[str]) -> dict[str, Decimal]:
    """What one of these costs where that was said; nothing for what stands at the venue. One query if there are any."""
    if not unknown:
        return {}
    said = _SUPPLIES.rows(quote=quote.pk, codes=sorted(unknown))
    known = ((code, stock_view.NOTHING if kind == SupplyKind.SITE else cost) for code, kind, cost in said)
    return {code: cost for code, cost in known if cost is not None}


def _free_lines(quote: Quote, taxes: Sequence[TaxRate]) -> list[FreeLine]:
    """The quote's free lines with their taxes, retired ones too."""
    by_pk = {tax.pk: tax for tax in taxes}
    lines = _FREE_LINES.rows(quote=quote.pk)
    for line in lines:
        line.quote = quote
        line.tax = by_pk.get(line.tax_id) if line.tax_id else None
    return lines


def _body_first(count: tuple[int, int]) -> tuple[bool, int]:
    """Rounds from the usual size upwards, the small fillers last."""
    return count[0] < 10, count[0]
