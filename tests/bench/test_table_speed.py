"""How long an act on the drawing table takes, without the take-off that follows it.

One core, nothing of earlier acts kept. The product's bar is 5 ms of computing for one act. A drawn garland takes about
4 ms, some six times the floor: the string of the same garland laid. Both are measured by turns, so that a busy machine
slows both.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterator, Mapping

import pytest

from quoting.craft.settle import laying
from quoting.craft.table.acts import apply, read_act
from tests.bench.figures import Figures
from tests.quoting.craft.table.tables import LOW, SHELF, TALL, done, over_both_arches, shaky, table

pytestmark = pytest.mark.bench

ROUNDS = 30
BAR = 9.0
"""In floors: 5 ms where the floor takes 0.56 ms."""
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
def test_an_act_takes_at_most_nine_times_the_laying_of_a_string(
    what: str, name: str, values: Mapping[str, object], figures: Figures
) -> None:
    design = done(table(TALL, LOW), "put-garland", points=over_both_arches()).design
    times, floors = [], []
    for _ in range(ROUNDS):
        times.append(seconds_of(lambda: apply(design, read_act(name, values), SHELF)))
        floors.append(seconds_of(lambda: laying.routes_of(design)))
    floor = statistics.median(floors)
    assert figures.milliseconds(f"table: {what}", statistics.median(times), floor=floor, bar=BAR).holds


def seconds_of(work: Callable[[], object]) -> float:
    """The computing of one piece of work, with no route kept from before."""
    laying.forget()
    start = time.process_time()
    work()
    return time.process_time() - start
