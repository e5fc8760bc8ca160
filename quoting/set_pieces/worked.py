"""A design worked out: take-off and picture as they are kept with a set piece."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import Final

from msgspec import structs

from quoting.craft.design.design_file import write_design
from quoting.craft.design.records import Design, Rates
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.sheets.stored import KeptSentence, StoredTakeoff, stored_takeoff, stored_tasks
from quoting.craft.takeoff.takeoff import TakeOff, laid_out, take_off, unpriced
from quoting.prints.pictures import from_file, linked
from studio.measures import lengths
from studio.trade.sentences import written_out

OLD_METRES: Final = re.compile(r"\b(\d+(?:\.\d+)?) m\b")
"""A length in a sentence that was kept before lengths were numbers."""


@dataclass(frozen=True, slots=True)
class Worked:
    """``design`` is the JSON document of the design; ``picture`` is SVG."""

    design: dict[str, object]
    takeoff: StoredTakeoff
    picture: str


def worked(design: Design) -> Worked:
    """Work out a design. Raises ``DesignError`` where it can't be built."""
    return Worked(write_design(design), summed_up(design), drawn(design))


def summed_up(design: Design) -> StoredTakeoff:
    """The take-off alone, where no picture is wanted yet. Raises ``DesignError`` where it can't be built."""
    goods = _summed_up(replace(design, rates=Rates()))
    return structs.replace(goods, tasks=stored_tasks(taken_off(design)), crew=design.rates.crew)


def drawn(design: Design) -> str:
    """The elevation of a design, for the studio's pages. Crew, loss and rates change nothing that is seen."""
    bare = replace(unpriced(design), images=())
    return linked(from_file(_drawn(bare), design.images))


def in_units(sentence: KeptSentence, units: str) -> str:
    """A sentence of the take-off, its lengths as the studio writes them."""
    if not isinstance(sentence, str):
        return written_out(sentence, lambda length_m: lengths.written(length_m, units))
    if units == "metric":
        return sentence
    return OLD_METRES.sub(lambda found: lengths.written(Decimal(found[1]), units), sentence)


@lru_cache(maxsize=32)
def _summed_up(design: Design) -> StoredTakeoff:
    """With the usual rates: bill, explanations and prep of a piece stay where only its rates or crew change."""
    return stored_takeoff(taken_off(design))


@lru_cache(maxsize=32)
def _drawn(design: Design) -> str:
    return elevation_svg(laid_out(design))


@lru_cache(maxsize=32)
def taken_off(design: Design) -> TakeOff:
    """The take-off of a design. It depends on nothing else, so the last ones are kept: undo and scaling ask again."""
    return take_off(design)
