"""The shelf as a sketch sees it: what there is to build from, what it costs, what is free on the day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from django.db.models import Q, QuerySet

from events.loadout.swaps import present_items
from quoting.craft.design.records import Bag, OwnedSize
from quoting.models import LatexBy, Offer, OfferState, Quote, QuoteState, Rates
from quoting.pricing.inputs import Goods
from quoting.set_pieces.alter import Owned
from stock.catalogue import items as catalogue
from stock.catalogue.items import Material
from stock.holds import availability
from stock.holds.availability import Available
from stock.models import Item, Kind
from studio.measures.times import Window
from studio.models import Studio, dates
from studio.tenancy.access import require
from studio.tenancy.kept_query import Given, GivenMany, KeptQuery
from studio.tenancy.rights import Right

NOTHING: Final = Decimal(0)
UNDYED: Final = "#EFE6D6"
"""A cover whose colour the shelf doesn't say is drawn in this."""
MOST_NAMED: Final = 3
MOST_IN_A_BAG: Final = 1000
"""A design knows no bigger bag."""
LATEX: Final = (Kind.LATEX, Kind.TWISTING)
ORDER: Final = (
    Kind.FRAME,
    Kind.COVER,
    Kind.SIGN,
    Kind.PROP,
    Kind.LATEX,
    Kind.TWISTING,
    Kind.FLORAL,
    Kind.FOIL,
    Kind.HARDWARE,
    Kind.TOOL,
)
"""In which order the shelf is spoken of: what can't be bought in time first."""


@dataclass(frozen=True, slots=True)
class ShelfWord:
    """One sentence on how a need stands on the day: ``lead`` is what matters, ``rest`` what follows it."""

    is_short: bool
    lead: str
    rest: str = ""


@dataclass(frozen=True, slots=True)
class PresentNeeds:
    """What a quote needs now, the items and names of it, and which of it was swapped in."""

    quantities: Mapping[str, int]
    items: Mapping[str, Item]
    labels: Mapping[str, str]
    swapped_in: frozenset[str] = frozenset()


def owned() -> Owned:
    """Everything the studio can build from. One query."""
    return read(())[1]


def read(codes: Iterable[str]) -> tuple[dict[str, Item], Owned]:
    """Everything the studio can build from, with the items under these codes, retired ones too. One query.

    A colour can be chosen where the studio keeps latex of it, in whatever size.
    """
    require(Right.SEE_SHELF)
    items = _SHELF.rows(codes=sorted(set(codes)))
    return {item.code: item for item in items}, _owned(items)


def latex_bags() -> tuple[Bag, ...]:
    """The bags that the studio buys its rounds in, by size: the smallest where its colours differ. One query."""
    require(Right.SEE_SHELF)
    kept = Item.objects.filter(kind=Kind.LATEX, retired_at=None, size_in__range=(5, 36))
    smallest: dict[int, int] = {}
    for size_in, pieces in kept.values_list("size_in", "bag_size"):
        if size_in and pieces:
            smallest[size_in] = min(smallest.get(size_in, MOST_IN_A_BAG), pieces)
    return tuple(Bag(size_in=size_in, pieces=pieces) for size_in, pieces in sorted(smallest.items()))


def goods(code: str, quantity: int, items: Mapping[str, Item], rates: Rates, studio: Studio) -> Goods:
    """So many of a code with what one costs the studio.

    What is used up costs its bag's price by the piece; what comes back costs its price over its expected uses, or over
    the studio's usual ones. An item's own price per use takes the place of the built one. Nothing known costs nothing:
    see :func:`is_priced`.
    """
    item = items.get(code)
    if item is None:
        return Goods(code, quantity, NOTHING)
    bag = item.bag_size if item.kind in LATEX and rates.latex_by == LatexBy.BAG and item.bag_size else 0
    if item.is_reusable:
        cost, per = item.unit_cost or NOTHING, catalogue.uses_of(item, studio)
    elif item.bag_price is not None and item.bag_size:
        cost, per = item.bag_price, item.bag_size
    else:
        cost, per = item.unit_cost or NOTHING, 1
    return Goods(code, quantity, cost, per=per, bag_of=bag, price=item.price_per_use)


def is_priced(item: Item | None) -> bool:
    """Whether the shelf knows what a use of the item costs."""
    if item is None:
        return False
    bagged = item.bag_price is not None and bool(item.bag_size)
    return item.price_per_use is not None or item.unit_cost is not None or bagged


def on_the_day(
    quantities: Mapping[str, int], items: Mapping[str, Item], window: Window, *, besides: Collection[int]
) -> list[Available]:
    """How every need stands for the window, given what is on hold for it already. One query, and a few where something
    is short."""
    needed = {code: items[code] for code in quantities if code in items}
    found = availability.check_items(needed, dict(quantities), window, besides=besides)
    return availability.as_held(found, besides)


def own_holds(quote: Quote) -> frozenset[int]:
    """What is held for the quote already: its event's stock, and tentatively that of its open offer. One query."""
    return with_event_hold(quote, [hold_id for hold_id in _OFFERED_HOLDS.rows(quote=quote.pk) if hold_id])


def with_event_hold(quote: Quote, offered: Iterable[int]) -> frozenset[int]:
    """The same where those of its open offer are known. No query."""
    return frozenset({*offered, *([quote.event.hold_id] if quote.event.hold_id else [])})


def offered_holds(quote_id: Given) -> QuerySet[Offer, int | None]:
    """What is held tentatively for the open offer of a quote, or of the quote that it is a version of."""
    own = Q(quote_id=quote_id) | Q(quote__in=Quote.objects.filter(variants=quote_id).values("pk"))
    offers = Offer.objects.filter(own, state=OfferState.OPEN, tentative_hold__isnull=False)
    return offers.order_by().values_list("tentative_hold_id", flat=True)


def with_swaps(
    quote: Quote, quantities: Mapping[str, int], items: Mapping[str, Item], labels: Mapping[str, str]
) -> PresentNeeds:
    """The needs with what stands for agreed items now. One query for an agreed quote, two where something was
    swapped."""
    swapped = present_items(quote.event) if quote.state == QuoteState.AGREED else {}
    changed = {code: into for code, (into, _) in swapped.items() if code in quantities}
    if not changed:
        return PresentNeeds(quantities, items, labels)
    needs = catalogue.sum_by_code(
        Material(changed.get(code, code), count) for code, count in quantities.items()
    )
    named = {
        into: f"{swapped[code][1]} instead of {labels.get(code, code)}" for code, into in changed.items()
    }
    found = catalogue.find_by_code(changed.values())
    return PresentNeeds(needs, {**items, **found}, {**labels, **named}, frozenset(named))


def words(
    needs: Sequence[Available],
    labels: Mapping[str, str],
    studio: Studio,
    *,
    swapped_in: Set[str] = frozenset(),
) -> list[ShelfWord]:
    """What to say of the shelf on a call: everything short, every frame, cover and sign and what was swapped in; then
    the rest in one line."""
    strange = [need for need in needs if need.item is None]
    known = [need for need in needs if need.item is not None]
    ranked = sorted(known, key=lambda need: (_rank(need), need.short == 0))
    listed = {need.code for need in known if need.code in swapped_in or _has_own_row(need)}
    rows = [_word(need, labels.get(need.code, need.code), studio) for need in ranked if need.code in listed]
    quiet = [need for need in known if need.code not in listed]
    if quiet:
        rows.append(ShelfWord(False, f"{len(quiet)} more items: all available"))
    return rows + _strange_words([labels.get(need.code, need.code) for need in strange])


# Private


def _shelf() -> QuerySet[Item]:
    """Frames, covers, signs, one latex item of each colour, and what is asked for by its code."""
    one_of_each_colour = (
        Item.objects.filter(retired_at=None, kind=Kind.LATEX, colour__retired_at=None)
        .order_by("colour_id", "size_in")
        .distinct("colour_id")
        .values("pk")
    )
    built_on = Q(retired_at=None, kind__in=[Kind.FRAME, Kind.COVER, Kind.SIGN])
    asked_for = Q(code__in=GivenMany("codes", "text"))
    return Item.objects.select_related("colour").filter(built_on | asked_for | Q(pk__in=one_of_each_colour))


_SHELF: Final = KeptQuery(_shelf)
_OFFERED_HOLDS: Final = KeptQuery(lambda: offered_holds(Given("quote")))


def _owned(items: Sequence[Item]) -> Owned:
    hues = {item.colour.code: item.colour for item in items if item.kind == Kind.LATEX and item.colour}
    colours = {
        hue.code: (hue.name, hue.hex)
        for hue in sorted(hues.values(), key=catalogue.shelf_order)
        if hue.retired_at is None
    }
    frames: defaultdict[str, list[OwnedSize]] = defaultdict(list)
    covers: dict[str, tuple[str, str, str]] = {}
    signs: dict[str, str] = {}
    for item in items:
        if item.retired_at is not None:
            continue
        if item.kind == Kind.FRAME and item.outline:
            frames[item.outline["shape"]].append(_owned_size(item))
        elif item.kind == Kind.COVER:
            hue = item.colour
            covers[item.code] = (item.name, hue.code if hue else "", hue.hex if hue else UNDYED)
        elif item.kind == Kind.SIGN:
            signs[item.code] = item.name
    by_height = {shape: sorted(sizes, key=lambda size: size.height_m) for shape, sizes in frames.items()}
    weighed = {item.code: float(item.weight_kg) for item in items if item.weight_kg is not None}
    return Owned(colours, by_height, covers, signs, weighed)


def _owned_size(item: Item) -> OwnedSize:
    outline = item.outline or {}
    return OwnedSize(
        item=item.code, label=item.name, width_m=float(outline["width_m"]), height_m=float(outline["height_m"]),
        weight_kg=float(item.weight_kg or 6),
    )  # fmt: skip


def _rank(need: Available) -> int:
    return ORDER.index(Kind(need.item.kind)) if need.item else -1


def _has_own_row(need: Available) -> bool:
    reusable = (Kind.FRAME, Kind.COVER, Kind.SIGN, Kind.PROP)
    return need.short > 0 or (need.item is not None and need.item.kind in reusable)


def _strange_words(names: Sequence[str]) -> list[ShelfWord]:
    """What the shelf doesn't know at all, in one sentence however many they are."""
    if not names:
        return []
    shown = ", ".join(name[:1].lower() + name[1:] for name in names[:MOST_NAMED])
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return [ShelfWord(True, f"not in stock list, to hire or buy: {len(names)}", shown + more)]


def _word(need: Available, label: str, studio: Studio) -> ShelfWord:
    name = label[:1].lower() + label[1:]
    if need.short and need.item is not None and not need.item.is_reusable:
        return ShelfWord(True, f"{name}: {need.free} free of {need.needed} needed", _way_out(need, studio))
    if need.short:
        return ShelfWord(True, f"{name}: {need.free} of {need.owned} free", _way_out(need, studio))
    if need.item is not None and need.item.is_reusable:
        back = (
            f"back from {need.back_from} {_moment(need, studio)}" if need.back_at and need.back_from else ""
        )
        return ShelfWord(False, f"{name}: {need.free} of {need.owned} free", back)
    return ShelfWord(False, f"{name}: {need.free} free")


def _way_out(need: Available, studio: Studio) -> str:
    """What would help: bags to buy, or when enough would be back."""
    if need.bags_to_buy:
        return "buy one bag" if need.bags_to_buy == 1 else f"buy {need.bags_to_buy} bags"
    if need.item is None or not need.item.is_reusable:
        return ""
    wanted = f"{need.needed} needed" if need.needed > 1 else ""
    back = f"back by {_moment(need, studio)}" if need.back_at else ""
    return ", ".join(words for words in (wanted, back) if words)


def _moment(need: Available, studio: Studio) -> str:
    assert need.back_at is not None
    local = need.back_at.astimezone(studio.tz)
    return f"{dates.time_written(local)} {dates.day_written(local)}"
