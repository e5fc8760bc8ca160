"""Fitting a set piece to a budget: what the same design looks like for the money, by the real take-off and price.

Nothing is scaled by a factor. Every version that is shown was worked out to the balloon and priced with the whole
quote around it: minimum call, whole bags, rounding and tax included.
"""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Final

from quoting.craft.change.edit import edited
from quoting.craft.design.faults import DesignError, FaultCode
from quoting.craft.design.records import Design
from quoting.craft.sheets.stored import StoredTakeoff
from quoting.models import SetPiece
from quoting.quotes import sheet
from quoting.quotes.sheet import Sheet
from quoting.set_pieces import alter
from quoting.set_pieces.alter import Owned
from quoting.set_pieces.worked import drawn, summed_up
from studio.outbox.long_work import Progress

LEAST_FULL, MOST_FULL = 40, 97
"""Fullness tried, in per cent: below it is no garland any more, above it the model knows none."""
STEP_M: Final = Decimal("0.05")
NARROWEST, WIDEST = Decimal("0.4"), Decimal("2.5")
"""Widths tried, as shares of the present one."""
MOST_PLACED: Final = 6000
"""Balloons placed over all that is tried: what fits into two seconds. Bigger pieces are tried less often."""
LEAST_TRIES, MOST_TRIES = 3, 7
"""How often one search may try, at least and at most."""
MOST_SHAPES: Final = 5
"""Sizes tried: frames and route have to be found anew for each, which is the dear part."""
ALL_ROUND: Final = 40
"""Steps between nothing and the present size, where a version is smaller all round."""
SEARCHES: Final = 4
SAME_HEIGHT: Final = 0.06
"""How far a wider or narrower version may be from the present height, as a share of it: there is a ceiling."""
MOST_VERSIONS: Final = 4


@dataclass(frozen=True, slots=True)
class Change:
    """What a version changes: fullness in per cent, width and height to :data:`STEP_M`, and whether florals stay."""

    fullness: int | None = None
    width_m: Decimal | None = None
    height_m: Decimal | None = None
    bare: bool = False


@dataclass(frozen=True, slots=True)
class Version:
    """One version that the budget buys. ``total`` is of the whole quote with this version of the piece in it."""

    name: str
    change: Change
    takeoff: StoredTakeoff
    total: Decimal
    picture: str


@dataclass(frozen=True, slots=True)
class Fitted:
    """The versions within the budget, the one nearest to it first; or none, and the least that was found."""

    budget: Decimal
    present: Decimal
    versions: tuple[Version, ...]
    least: Decimal


@dataclass(frozen=True, slots=True)
class _Known:
    total: Decimal
    takeoff: StoredTakeoff
    design: Design | None = None
    """None for the piece as it stands."""


@dataclass
class _Search:
    """Versions of one piece, each worked out and priced once; keeps count of how much was worked out."""

    read: Sheet
    piece: SetPiece
    progress: Progress
    tries: int = 0
    known: dict[Change, _Known | None] = field(default_factory=dict)
    sizes: dict[tuple[Decimal | None, Decimal | None], Design] = field(default_factory=dict)

    def total(self, change: Change) -> Decimal | None:
        """Total of the quote with this version; none where the design can't be built so."""
        if change not in self.known:
            self.known[change] = self._worked_out(change)
        found = self.known[change]
        return found.total if found else None

    @property
    def allowed(self) -> int:
        """Tries that one search may take."""
        each: int = MOST_PLACED // SEARCHES // max(1, self.piece.takeoff.balloons)
        return min(MOST_TRIES, max(LEAST_TRIES, each))

    def _worked_out(self, change: Change) -> _Known | None:
        try:
            size = (change.width_m, change.height_m)
            if size not in self.sizes:
                self.sizes[size] = sized(self.piece, change)
            design = _finished(self.sizes[size], change, self.read.owned)
            takeoff = summed_up(design)
        except DesignError:
            return None
        finally:
            self.tries += 1
            self.progress(min(1.0, self.tries / (SEARCHES * (self.allowed + 1))))
        higher = takeoff.height_m / self.piece.takeoff.height_m - 1
        if change.width_m is not None and change.height_m is None and abs(higher) > SAME_HEIGHT:
            return None
        return _Known(priced(self.read, self.piece, takeoff), takeoff, design)


def fit(read: Sheet, piece: SetPiece, budget: Decimal, *, progress: Progress = lambda _: None) -> Fitted:
    """What ``budget``, the total that the client pays for the whole quote, makes of one of its set pieces.

    The fullest version of this size, the widest of this fullness, one half way between the two, the fullest without
    florals, and where money is short the biggest that is smaller all round: as far as they differ and it buys them.
    """
    search = _Search(read, piece, progress)
    present = read.whole_tape.total
    search.known[Change()] = _Known(present, piece.takeoff)
    widest = _widest(search, budget)
    found = [
        ("Fullest at this size", _fullest(search, Change(), budget)),
        ("Widest at this fullness", widest),
    ]
    if widest is not None and widest.width_m is not None:
        half = Change(width_m=_steps((piece.width_m + widest.width_m) / 2))
        found.append(("Between the two", _fullest(search, half, budget)))
    if piece.design.get("florals"):
        found.append(("No florals, more balloons", _fullest(search, Change(bare=True), budget)))
    if present > budget:
        found.append(("Smaller, same fullness", _biggest(search, budget)))
    there = [(name, change) for name, change in found if change is not None]
    return Fitted(budget, present, _told(search, there), _least(search))


def shaped(piece: SetPiece, change: Change, owned: Owned) -> Design:
    """The piece's design with the change. Raises ``DesignError`` where it can't be built so."""
    return _finished(sized(piece, change), change, owned)


def sized(piece: SetPiece, change: Change) -> Design:
    """The piece's design at the change's size. Raises ``DesignError`` at the width or height that no frame makes."""
    design = piece.read_design()
    if change.width_m is None and change.height_m is None:
        return design
    width, height = change.width_m or piece.width_m, change.height_m or piece.height_m
    # A piece that is smaller all round may come out between two sizes of its frames.
    must = ("width_m",) if change.height_m is None else ()
    return alter.scaled(design, width_m=width, height_m=height, must=must)


def priced(read: Sheet, piece: SetPiece, takeoff: StoredTakeoff) -> Decimal:
    """Total of the quote with another take-off of one of its pieces."""
    tried = copy.copy(piece)
    tried.takeoff = takeoff
    pieces = [tried if each.pk == piece.pk else each for each in read.pieces]
    return sheet.with_pieces(read, pieces).whole_tape.total


# Private


def _finished(design: Design, change: Change, owned: Owned) -> Design:
    """A design of the right width with everything else that a version changes."""
    if change.bare:
        design = replace(design, florals=())
    if change.fullness is not None:
        design = edited(design, {"fullness": change.fullness / 100})
    return alter.relabelled(design, owned)


def _fullest(search: _Search, start: Change, budget: Decimal) -> Change | None:
    """The fullest version within the budget, in whole per cent."""
    if not search.piece.design.get("garlands"):
        return None
    now = round(search.piece.read_design().garlands[0].fullness * 100)

    def change(percent: int) -> Change:
        is_as_now = percent == now and start == Change()
        return start if is_as_now else replace(start, fullness=percent)

    highest = search.piece.takeoff.highest_fullness
    most = MOST_FULL if highest is None else min(MOST_FULL, round(100 * highest))
    best = _most(search, change, _Range(now, LEAST_FULL, max(now, most)), budget, search.allowed)
    return None if best is None else change(best)


def _widest(search: _Search, budget: Decimal) -> Change | None:
    """The widest version within the budget, in steps of :data:`STEP_M`."""
    now = search.piece.width_m
    present = round(now / STEP_M)
    narrowest, widest = _reach(search.piece)
    low, high = int(narrowest / STEP_M) + 1, int(widest / STEP_M)
    steps = _Range(present, min(low, present), max(high, present))

    def change(number: int) -> Change:
        return Change() if number == present else Change(width_m=number * STEP_M)

    best = _most(search, change, steps, budget, min(search.allowed, MOST_SHAPES))
    return None if best is None else change(best)


def _reach(piece: SetPiece) -> tuple[Decimal, Decimal]:
    """The narrowest and the widest that the frames make of the piece [m], as far as they say so; at most all tried."""
    low, high = piece.width_m * NARROWEST, piece.width_m * WIDEST
    try:
        sized(piece, Change(width_m=high))
    except DesignError as error:
        for fault in error.faults:
            if fault.code == FaultCode.NO_FRAME_THIS_WIDE:
                low, high = max(low, Decimal(f"{fault.low:.2f}")), min(high, Decimal(f"{fault.high:.2f}"))
    return low, high


def _biggest(search: _Search, budget: Decimal) -> Change | None:
    """The biggest version below the present size that is within the budget, in steps of a fortieth all round."""
    width, height = search.piece.width_m, search.piece.height_m

    def change(number: int) -> Change:
        if number == ALL_ROUND:
            return Change()
        share = Decimal(number) / ALL_ROUND
        return Change(width_m=_steps(width * share), height_m=_steps(height * share))

    sizes = _Range(ALL_ROUND, ALL_ROUND * 2 // 5, ALL_ROUND)
    best = _most(search, change, sizes, budget, min(search.allowed, MOST_SHAPES))
    return None if best is None else change(best)


@dataclass(frozen=True, slots=True)
class _Range:
    """Whole numbers of some step from ``low`` to ``high``, and which of them is the piece as it stands."""

    now: int
    low: int
    high: int


def _most(
    search: _Search, change: Callable[[int], Change], numbers: _Range, budget: Decimal, tries: int
) -> int | None:
    """The largest number whose total is within the budget, looked for from the present one on by the price's own slope.

    The price grows with the number almost everywhere; what is given back was priced and is within the budget.
    """
    total: Callable[[int], Decimal | None] = lambda number: search.total(change(number))  # noqa: E731
    last = search.tries + tries
    here = total(numbers.now)
    good, bad = numbers.low - 1, numbers.now
    good_total, bad_total = None, here
    if here is not None and here <= budget:
        good, bad = numbers.now, numbers.high + 1
        good_total, bad_total = here, None
    slope = _slope(total, numbers, here, up=good_total is not None) if bad - good > 1 else None
    while bad - good > 1 and search.tries < last:
        guess = _guess(good, good_total, bad, bad_total, budget, slope)
        found = total(guess)
        if found is not None and found <= budget:
            good, good_total = guess, found
        elif found is None and good_total is None:
            good = guess  # Too small to be built: the end of what there is on this side.
        else:
            bad, bad_total = guess, found
    return good if good_total is not None else None


def _slope(
    total: Callable[[int], Decimal | None], numbers: _Range, here: Decimal | None, *, up: bool
) -> Decimal | None:
    """What one more costs, from a step a tenth of the way."""
    stride = max(1, (numbers.high - numbers.now if up else numbers.now - numbers.low) // 10)
    there = total(numbers.now + stride if up else numbers.now - stride)
    if here is None or there is None or there == here:
        return None
    return abs(there - here) / stride


def _guess(
    good: int, good_total: Decimal | None, bad: int, bad_total: Decimal | None, budget: Decimal, slope: Decimal | None
) -> int:  # fmt: skip
    """Where the price should meet the budget; half way where that can't be told."""
    middle = (good + bad) // 2
    if good_total is not None and bad_total is not None and bad_total > good_total:
        guess = good + int((budget - good_total) / (bad_total - good_total) * (bad - good))
    elif slope and good_total is not None:
        guess = good + int((budget - good_total) / slope) + 1
    elif slope and bad_total is not None:
        guess = bad - int((bad_total - budget) / slope) - 1
    else:
        guess = middle
    return min(max(guess, good + 1), bad - 1)


def _steps(width_m: Decimal) -> Decimal:
    return round(width_m / STEP_M) * STEP_M


def _told(search: _Search, found: list[tuple[str, Change]]) -> tuple[Version, ...]:
    """Each version once, with its picture, the dearest first."""
    seen: dict[Change, str] = {}
    for name, change in found:
        seen.setdefault(change, name)
    versions = []
    for change, name in seen.items():
        known = search.known[change]
        if known is None or known.design is None:  # The piece as it stands is on the bench already.
            continue
        versions.append(Version(name, change, known.takeoff, known.total, drawn(known.design)))
    return tuple(sorted(versions, key=lambda version: -version.total)[:MOST_VERSIONS])


def _least(search: _Search) -> Decimal:
    return min(found.total for found in search.known.values() if found)
