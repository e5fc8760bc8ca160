"""How long an act on the drawing table takes, without the take-off that follows it.

One core, nothing of earlier acts kept. The bar is the product's: 5 ms of computing for one act.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Iterator, Mapping

import pytest

from quoting.craft.settle import laying
from quoting.craft.table.acts import apply, read_act
from tests.bench.figures import Figures
from tests.quoting.craft.table.tables import LOW, SHELF, TALL, done, over_both_arches, shaky, table

pytestmark = pytest.mark.bench

ROUNDS = 30
BAR_MS = 5.0
REF = "garland:garland-1"


def acts() -> Iterator[tuple[str, str, Mapping[str, object]]]:
    """What is done, by which act, with which fields; the garland runs over two arches, drawn by an unsteady hand."""
    yield "a garland drawn", "redraw", {"thing": REF, "points": shaky(over_both_arches())}
    yield "a frame moved", "move", {"thing": "frame:low", "x_m": -0.5}
    yield "a point pulled off its frame", "move-point", {"thing": REF, "index": 3, "x_m": -1.4, "y_m": 1.2}
    yield "a garland made thicker", "thickness", {"thing": REF, "at": 0.4, "factor": 1.4}
    yield "an end laid on the floor", "end", {"thing": REF, "which": "end", "how": "pool"}
    yield "a round put", "put-round", {"x_m": -0.9, "y_m": 1.0}


@pytest.mark.parametrize(("what", "name", "values"), list(acts()))
def test_an_act_takes_at_most_five_milliseconds(
    what: str, name: str, values: Mapping[str, object], figures: Figures
) -> None:
    design = done(table(TALL, LOW), "put-garland", points=over_both_arches()).design
    times = []
    for _ in range(ROUNDS):
        laying.forget()
        start = time.process_time()
        apply(design, read_act(name, values), SHELF)
        times.append(time.process_time() - start)
    assert figures.milliseconds(f"table: {what}", statistics.median(times), bar=BAR_MS).holds
