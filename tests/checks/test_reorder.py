"""Reorder point and safety stock against textbooks' worked examples; the projection against a hand-made record."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from stock.buying.projection import Coming, lacks, running
from stock.buying.reorder import Use, reorder_point, service_factor, use_of


def test_lead_time_demand_of_50_tons() -> None:
    # Stevenson, Operations Management, 14th ed., ch. 12, example 8: s.d. 5 over the lead time, risk 3 %,
    # z 1.88 from the table: safety stock 9.40, reorder point 59.40 tons.
    found = reorder_point(Use(50, 5), lead=1, z=1.88)
    assert found.safety == pytest.approx(9.40)
    assert found.pieces == pytest.approx(59.40)


def test_lead_time_that_varies() -> None:
    # Heizer & Render, Operations Management, ch. 12, solved problem (eq. 12-16): 60 a week, lead time 6 ± 2
    # weeks, 90 % (z 1.28): 513.6.
    found = reorder_point(Use(60, 0), lead=6, lead_deviation=2, z=1.28)
    assert found.pieces == pytest.approx(513.6)
    assert found.whole == 514


def test_12500_a_day() -> None:
    # Textbook exercise (brainmass.com, reorder point 210800): lead time 4 ± 1 days, 97 %, z 1.88: 73,500.
    found = reorder_point(Use(12_500, 0), lead=4, lead_deviation=1, z=1.88)
    assert found.pieces == pytest.approx(73_500)


def test_29_a_day() -> None:
    # Textbook exercise (brainmass.com, order point and safety stock 491166): s.d. 5.7, lead time 3 days, 95 %,
    # z 1.645: safety stock 16.24, order point 103.24.
    found = reorder_point(Use(29, 5.7), lead=3, z=1.645)
    assert found.safety == pytest.approx(16.24, abs=0.005)
    assert found.pieces == pytest.approx(103.24, abs=0.005)


@pytest.mark.parametrize(
    ("percent", "z"), [(50, 0.0), (90, 1.28155), (95, 1.64485), (97.5, 1.95996), (99, 2.32635)]
)
def test_service_factors_are_the_quantiles_of_the_normal_distribution(percent: float, z: float) -> None:
    # Standard normal distribution; values computed with SciPy 1.17.1 (scipy.stats.norm.ppf).
    assert service_factor(percent) == pytest.approx(z, abs=5e-6)


@pytest.mark.parametrize("percent", [49.9, 100, 120, -1])
def test_a_share_that_cannot_be_promised_is_refused(percent: float) -> None:
    with pytest.raises(ValueError, match="from 50 %"):
        service_factor(percent)


def test_mean_and_sample_deviation_of_use() -> None:
    # NIST/SEMATECH e-Handbook 1.3.5.6 defines the sample standard deviation with n − 1; 2, 4, 4, 4, 5, 5, 7, 9 is
    # the usual classroom example: mean 5, sum of squares 32, so √(32/7).
    use = use_of([2, 4, 4, 4, 5, 5, 7, 9])
    assert use.mean == 5
    assert use.deviation == pytest.approx((32 / 7) ** 0.5)
    assert use_of([]) == Use(0.0, 0.0)
    assert use_of([3]) == Use(3.0, 0.0)


def test_a_time_phased_record() -> None:
    # The usual record of material planning (gross requirements, scheduled receipts, projected on hand); worked by
    # hand: on hand 20; takes 15, 0, 30, 10; comes in 25 in week 2.
    start = datetime(2026, 1, 5, 8, tzinfo=UTC)
    weeks = [start + timedelta(weeks=number) for number in range(4)]
    comings = [
        Coming(weeks[0], -15, "one"),
        Coming(weeks[2], -30, "three"),
        Coming(weeks[3], -10, "four"),
        Coming(weeks[1], 25, "delivery"),
    ]
    steps = running(20, comings)
    assert [step.left for step in steps] == [5, 30, 0, -10]
    assert [(lack.at, lack.pieces, lack.label) for lack in lacks(steps)] == [(weeks[3], 10, "four")]


def test_a_published_record_of_five_weeks() -> None:
    # homeworksource.com/p/1020430 (a textbook's exercise with its solution): on hand 100, lots of 200 due in weeks 2
    # and 4, gross requirements 50, 125, 100, 60, 40. With 150 instead of 100 in week 3 its net requirement turns from
    # -25 (25 are left) to +25 (25 are missing).
    start = datetime(2026, 1, 5, 8, tzinfo=UTC)
    weeks = [start + timedelta(weeks=number) for number in range(5)]
    receipts = [Coming(weeks[1], 200), Coming(weeks[3], 200)]

    def after_each_week(gross: list[int]) -> list[int]:
        takes = [Coming(week, -pieces, "") for week, pieces in zip(weeks, gross, strict=True)]
        steps = running(100, [*receipts, *takes])
        return [step.left for step in steps if step.coming.pieces < 0]

    assert after_each_week([50, 125, 100, 60, 40]) == [50, 125, 25, 165, 125]
    assert after_each_week([50, 125, 150, 60, 40])[2] == -25
    changed = [Coming(week, -pieces) for week, pieces in zip(weeks, [50, 125, 150, 60, 40], strict=True)]
    assert [(lack.at, lack.pieces) for lack in lacks(running(100, [*receipts, *changed]))] == [(weeks[2], 25)]


def test_newspapers_for_a_week() -> None:
    # The newsvendor: stock for one period up to the share cu / (cu + co) of its demand. Nahmias, Production and
    # Operations Analysis, ch. 5: bought at 25 cents, sold at 75, taken back at 10; demand 11.73 a week, s.d. 4.74:
    # share 0.77, z 0.74, 15.24 and so 15 copies. Mean and deviation stand in coursehero.com/file/9056916; prices and
    # result are from memory. It is the level of the reorder point for a lead time of one period.
    short, over = 75 - 25, 25 - 10
    share = 100 * short / (short + over)
    assert share == pytest.approx(77, abs=0.1)
    assert service_factor(share) == pytest.approx(0.74, abs=0.005)
    level = reorder_point(Use(11.73, 4.74), lead=1, z=service_factor(share))
    assert level.pieces == pytest.approx(15.24, abs=0.02)
    assert round(level.pieces) == 15


def test_the_newsvendors_level_costs_least_when_everything_is_tried() -> None:
    # Expected cost by SciPy's Poisson distribution, enumerated; the critical share names the cheapest level.
    from scipy.stats import poisson

    short, over, demand = 3.0, 2.0, poisson(40)
    pieces = range(120)

    def cost(level: int) -> float:
        return sum(
            demand.pmf(wanted) * (short * max(0, wanted - level) + over * max(0, level - wanted))
            for wanted in pieces
        )

    cheapest = min(pieces, key=cost)
    assert cheapest == demand.ppf(short / (short + over))
    z = service_factor(100 * short / (short + over))
    assert round(reorder_point(Use(40, 40**0.5), lead=1, z=z).pieces) in {cheapest, cheapest + 1}


def test_what_comes_in_at_the_very_moment_counts() -> None:
    at = datetime(2026, 1, 5, 8, tzinfo=UTC)
    assert lacks(running(0, [Coming(at, -5), Coming(at, 5)])) == []


def test_only_more_than_ever_before_is_another_lack() -> None:
    at = datetime(2026, 1, 5, 8, tzinfo=UTC)
    days = [at + timedelta(days=number) for number in range(5)]
    changes = (-10, 8, -4, -7, -1)
    steps = running(2, [Coming(day, change) for day, change in zip(days, changes, strict=True)])
    assert [step.left for step in steps] == [-8, 0, -4, -11, -12]
    assert [(lack.at, lack.pieces) for lack in lacks(steps)] == [(days[0], 8), (days[3], 11), (days[4], 12)]
