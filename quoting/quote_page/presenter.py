"""What the quote page shows: rows made ready for the template out of a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Final

from babel.numbers import format_decimal
from msgspec import structs

from quoting.craft.design.records import MOST_FULL, USUAL_FULLNESS
from quoting.craft.sheets.stored import StoredTakeoff, StoredTask
from quoting.models import Quote, SetPiece
from quoting.pricing import instalments
from quoting.pricing.tape import PaidHours, Tape, TapeLine, as_decimal
from quoting.quotes import staffing
from quoting.quotes.sheet import PARTS, Sheet
from quoting.set_pieces.presenter import frame_words
from quoting.set_pieces.worked import in_units
from studio.measures import lengths
from studio.models import Studio
from studio.models.dates import day_written
from studio.models.spelling import spelled
from studio.money import amounts
from studio.trade.tools import tools_for

LOOKS: Final = {
    "rule": " tape-rule", "total": " tape-rule tape-total", "quiet": " tape-quiet", "over": " tape-over",
}  # fmt: skip
"""CSS classes of a row by its kind."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the tape, written."""

    label: str
    detail: str
    amount: str
    lights: str = ""
    kind: str = ""
    free_line: int | None = None
    by_hand: str = ""
    """Why it was set by hand, and what it would cost built from costs: for the studio's eyes."""
    key: str = ""

    @property
    def look(self) -> str:
        """Its further CSS classes."""
        return LOOKS.get(self.kind, "")


def tape_rows(
    tape: Tape,
    studio: Studio,
    *,
    names: Sequence[str],
    shown_piece: int,
    beside_total: str = "",
    budget: Decimal | None = None,
) -> list[Row]:
    """The tape's rows down to the deposit; lines light up what they pay for in the piece that is shown."""
    return [
        *_line_rows(tape, studio, names, shown_piece),
        *([] if tape.inclusive else _net_rows(tape, studio)),
        Row("Total", beside_total, amounts.written(tape.total, tape.currency, studio.locale), kind="total"),
        *_budget_rows(tape, studio, budget),
        *(_included_tax_rows(tape, studio) if tape.inclusive else []),
        Row(
            f"deposit {f'{_plain(tape.deposit_percent)} % ' if tape.deposit_percent else ''}when the client agrees",
            "",
            without_sign(tape.deposit, studio),
            kind="quiet",
        ),
    ]


def _budget_rows(tape: Tape, studio: Studio, budget: Decimal | None) -> list[Row]:
    """What the client can spend and what is left of it, or how far the total is above it."""
    if budget is None:
        return []
    left = budget - tape.total
    said = f"budget {without_sign(budget, studio)}, {'left' if left >= 0 else 'over by'}"
    return [Row(said, "", without_sign(abs(left), studio), kind="quiet" if left >= 0 else "over")]


def payment_rows(tape: Tape, quote: Quote, studio: Studio) -> list[Row]:
    """Instalments and the rest, below the deposit; empty without instalments."""
    found, rest = instalments.parts(
        tape.total, tape.deposit, instalments.read(quote.instalments), tape.currency
    )
    rows = [
        Row(f"{_plain(part.percent)} % by {day_written(part.due_on)}", "", without_sign(part.amount, studio))
        for part in found
    ]
    return [*rows, Row("balance", "", without_sign(rest, studio))] if rows and rest else rows


def inside_rows(tape: Tape, studio: Studio) -> list[Row]:
    """Cost, break-even and margin; empty for whoever may not see them."""
    if tape.inside is None:
        return []

    def bare(amount: Decimal) -> str:
        return without_sign(amount, studio)

    inside = tape.inside
    return [
        Row(spelled("cost of goods and labor"), "", bare(inside.cost)),
        Row("overhead", "", bare(inside.overhead)),
        Row("break-even (net)", "", bare(inside.break_even)),
        Row("margin", bare(inside.margin), f"{inside.margin_percent:.0f} %"),
    ]


@dataclass(frozen=True, slots=True)
class Bar:
    """What stays in sight while the page is scrolled: the total, and the margin for whoever may see it."""

    total: str
    margin: str


def bar(tape: Tape, studio: Studio) -> Bar:
    """The total with its currency, and the margin in per cent."""
    margin = f"{tape.inside.margin_percent:.0f} %" if tape.inside else ""
    return Bar(amounts.written(tape.total, tape.currency, studio.locale), margin)


def built(tape: Tape, studio: Studio) -> list[Row]:
    """How each price came about, for the owner: what it costs, and what was put on that."""
    return [
        Row(line.label, _origin(line, studio), without_sign(line.cost, studio))
        for line in tape.lines
        if line.cost is not None and line.origin
    ]


def unpriced_words(names: Sequence[str]) -> str:
    """How much of the bill the shelf knows no cost of."""
    things = "1 item is" if len(names) == 1 else f"{len(names)} items are"
    return f"{things} not priced: add a cost before sending"


def without_sign(amount: Decimal, studio: Studio) -> str:
    """The amount as the locale writes it, without the currency: for columns in which the total names it."""
    rounded = amounts.rounded(amount, studio.currency)
    return _written_bare(rounded, amounts.minor_digits(studio.currency), studio.locale)


def tool_words(piece: SetPiece) -> str:
    """The tools that go along for the piece, as the load-out list will name them; empty where it needs none."""
    found = piece.takeoff
    names = [tool.name.lower() for tool in tools_for(found.height_m, balloons=bool(found.balloons))]
    return ", ".join(names)


def headline(piece: SetPiece, units: str) -> str:
    """What stands above the picture: frames, length of garland, density."""
    found = piece.takeoff
    words = [frame_words(found.frames)] if found.frames else []
    if found.balloons:
        run = Decimal(str(found.garland_m))
        words.append(f"{lengths.written(run, units)} of garland")
        each = found.per_foot if units == "feet" else round(found.per_foot / 0.3048, 1)
        words.append(f"{each} balloons a {'foot' if units == 'feet' else 'metre'}")
    return " · ".join(words)


def comes_out(piece: SetPiece, units: str) -> str:
    """What the piece measures where that isn't what was asked, within 2 %; else nothing."""
    found = piece.takeoff
    actual = Decimal(str(found.width_m)), Decimal(str(found.height_m))
    asked = piece.width_m, piece.height_m
    if all(abs(a - b) <= b * Decimal("0.02") for a, b in zip(actual, asked, strict=True)):
        return ""
    return " × ".join(lengths.written(each, units) for each in actual)


def fullness_words(piece: SetPiece) -> str:
    """How full the piece is, what was asked for, and how full it can get; nothing without an organic garland."""
    organic = [each for each in piece.design.get("garlands", []) if each.get("work", "organic") == "organic"]
    found = piece.takeoff
    if not organic or not found.highest_fullness:
        return ""
    asked, measured = round(100 * organic[0].get("fullness", USUAL_FULLNESS)), round(100 * found.fullness)
    highest = max(round(100 * found.highest_fullness), measured)
    return f"{measured} % full ({asked} % asked), at most {highest} %"


def fullest(found: StoredTakeoff | None) -> int:
    """The highest fullness that is known of a piece, in per cent; what a design may ask for where none is known."""
    highest = found.highest_fullness if found else None
    return round(100 * (MOST_FULL if highest is None else min(MOST_FULL, highest)))


def too_high(piece: SetPiece, ceiling_m: Decimal | None, units: str) -> str:
    """What to say of a piece that doesn't fit under the ceiling; nothing where it does or no ceiling is known."""
    height = Decimal(str(piece.takeoff.height_m))
    if ceiling_m is None or height <= ceiling_m:
        return ""
    return f"It is {lengths.written(height, units)} high, but the ceiling is {lengths.written(ceiling_m, units)}."


def tasks(piece: SetPiece, units: str) -> list[StoredTask]:
    """The piece's tasks in working order, each with how its minutes came about."""
    return [structs.replace(task, why=in_units(task.why, units)) for task in piece.takeoff.tasks]


def hours(read: Sheet) -> list[tuple[str, str]]:
    """Hours of one person by phase, and what is paid where that is more."""
    return [(each.phase, _hours_words(each)) for each in read.hours]


def travel_words(read: Sheet) -> str:
    """That the total has no travel in it, where nobody knows yet where to, or no delivery price reaches so far."""
    if read.lacks_delivery and read.quote.distance_m:
        return "delivery not included: beyond your last delivery price"
    if read.lacks_delivery:
        return "delivery not included: enter the distance under Travel"
    is_unknown = read.quote.event.venue_id is None and not read.has_way
    return "travel not included: no venue yet" if is_unknown else ""


def crew_words(read: Sheet) -> tuple[bool, str, str] | None:
    """Whether people are too few on the day, and what to say of them; nothing where there is no work."""
    minutes = float(read.work.prep + read.work.install + read.work.strike)
    return staffing.words(read.crew, minutes, read.work.crew) if minutes else None


def change_words(who: str, what: str | None, version: int) -> str:
    """Who changed what: ``Marit changed fullness, size: this is sketch 6``."""
    if what is None:
        return f"{who} undid the last change: this is version {version}."
    if what.startswith(("added ", "removed ", "took ", "fitted ", "moved ", "drew ")):
        return f"{who} {what}: this is version {version}."
    names = ", ".join(dict.fromkeys(_plainly(key) for key in what.split(", ")))
    return f"{who} changed {names}: this is version {version}."


def here_words(names: Sequence[str]) -> str:
    """Who else has the page open: ``Marit and Teo are here too``."""
    if not names:
        return ""
    together = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    return f"{together} {'is' if len(names) == 1 else 'are'} here too"


def shown(pieces: Sequence[SetPiece], piece_id: int | None) -> SetPiece | None:
    """The piece asked for, or the first; none where the quote has no piece."""
    return next((piece for piece in pieces if piece.pk == piece_id), pieces[0] if pieces else None)


# Private


@lru_cache(maxsize=2048)
def _written_bare(amount: Decimal, digits: int, locale: str) -> str:
    """Kept, as most amounts of a page stay from one change to the next."""
    pattern = "#,##0" + ("." + "0" * digits if digits else "")
    return format_decimal(amount, format=pattern, locale=locale)


def _hours_words(hours: PaidHours) -> str:
    worked = f"{as_decimal(hours.worked):.1f} h"
    return f"{worked} (paid {as_decimal(hours.paid):.1f} h, the minimum call)" if hours.is_minimum else worked


def _line_rows(tape: Tape, studio: Studio, names: Sequence[str], shown_piece: int) -> list[Row]:
    """The lines, with a heading before each set piece where there are several."""
    rows: list[Row] = []
    last = -1
    for line in tape.lines:
        is_piece = line.part in PARTS
        if len(names) > 1 and not is_piece and last >= 0:
            rows.append(Row("For the whole quote", "", "", kind="piece"))
            last = -1
        if len(names) > 1 and is_piece and line.piece != last:
            rows.append(Row(names[line.piece], "", "", kind="piece"))
            last = line.piece
        lights = line.part if is_piece and line.piece == shown_piece else ""
        rows.append(_line_row(line, studio, names, lights))
    return rows


def _line_row(line: TapeLine, studio: Studio, names: Sequence[str], lights: str) -> Row:
    label = line.label
    if line.part in PARTS and len(names) > 1:
        label = label.removeprefix(f"{names[line.piece]}: ")
    return Row(
        label[:1].upper() + label[1:],
        line.detail,
        without_sign(line.amount, studio),
        lights,
        "line",
        line.extra,
        _by_hand_words(line, studio),
        line.key,
    )


def _by_hand_words(line: TapeLine, studio: Studio) -> str:
    if line.built is None:
        return ""
    return f"set by hand: {line.reason} (calculated: {without_sign(line.built, studio)})"


def _net_rows(tape: Tape, studio: Studio) -> list[Row]:
    taxes = [
        Row(_tax_words(tax.tax.name, tax.tax.percent), "", without_sign(tax.amount, studio))
        for tax in tape.taxes
    ]
    return [Row("Net", "", without_sign(tape.net, studio), kind="rule"), *taxes]


def _included_tax_rows(tape: Tape, studio: Studio) -> list[Row]:
    return [
        Row(
            f"including {_tax_words(tax.tax.name, tax.tax.percent)}",
            "",
            without_sign(tax.amount, studio),
            kind="quiet",
        )
        for tax in tape.taxes
    ]


def _origin(line: TapeLine, studio: Studio) -> str:
    return (
        line.origin
        if line.built is None
        else f"{line.origin}: {without_sign(line.built, studio)}; set by hand"
    )


KEYS_IN_WORDS: Final = {
    "share": "the palette", "swap": "the palette", "add_colour": "the palette", "sizes": "the sizes",
    "frame": "a frame", "cover": "a cover", "floral": "the florals", "sign": "the sign", "seed": "the arrangement",
    "loss": "the loss", "crew": "the crew size", "size": "the size", "way": "travel",
    "fullness": "the fullness", "rounds": "the rounds",
}  # fmt: skip


def _plainly(key: str) -> str:
    return KEYS_IN_WORDS.get(key.partition(".")[0], key)


def _tax_words(name: str, percent: Decimal) -> str:
    return f"{name} {_plain(percent)} %" if percent else name


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"
