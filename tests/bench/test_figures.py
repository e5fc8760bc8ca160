"""The table of a bench points out what is over its bar and what grew; its history is read back as written."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench.figures import Figure, Figures, read_history, write_history


@pytest.mark.parametrize(
    ("figure", "ratio", "holds"),
    [
        (Figure("edit", 60.0, "ms", floor=10.0, bar=6.0), 6.0, True),
        (Figure("edit", 61.0, "ms", floor=10.0, bar=6.0), 6.1, False),
        (Figure("page", 41.0, "kB", bar=40.0), 41.0, False),
        (Figure("page", 41.0, "kB"), 41.0, True),
    ],
)
def test_the_ratio_to_the_floor_is_held_to_the_bar(figure: Figure, ratio: float, holds: bool) -> None:
    assert figure.ratio == pytest.approx(ratio)
    assert figure.holds == holds


def test_the_table_points_out_what_is_over_its_bar_and_what_grew() -> None:
    figures = Figures()
    figures.milliseconds("quick", 0.02, floor=0.01, bar=3.0)
    figures.milliseconds("slow", 0.05, floor=0.01, bar=3.0)
    _, quick, slow = figures.table({"quick": 1.9, "slow": 2.0})
    assert "over the bar" not in quick
    assert "run before" not in quick
    assert slow.endswith("over the bar  2.50 x the run before")


def test_the_history_keeps_every_run_and_gives_the_last_one_back(tmp_path: Path) -> None:
    kept = tmp_path / "history.csv"
    assert read_history(kept) == {}
    write_history([Figure("edit", 60.0, "ms", floor=10.0, bar=6.0)], "abc", kept)
    write_history([Figure("edit", 50.0, "ms", floor=10.0, bar=6.0), Figure("page", 41.0, "kB")], "def", kept)
    assert read_history(kept) == {"edit": 5.0, "page": 41.0}
    assert len(kept.read_text().splitlines()) == 4
