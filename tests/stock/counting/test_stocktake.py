"""Counting the shelf place by place: what is out is known, differences are posted together, nothing twice."""

from __future__ import annotations

import html
import random
import re
from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stock.catalogue import items
from stock.catalogue.items import Material
from stock.counting import stocktake
from stock.holds import holds
from stock.ledger import movements
from stock.models import Kind, Movement
from studio.ui.offline import KEEP_HEADER
from tests.stock.conftest import INK_5, OAT_11, RING, Stocked


def out_now(stocked: Stocked, *needs: Material) -> None:
    with stocked.house.enter():
        holds.hold(label="Fair", window=stocked.days(-1, 1), needs=list(needs), key="out")


def test_what_is_out_on_a_job_is_added_to_what_was_counted(stocked: Stocked) -> None:
    out_now(stocked, Material(RING, 1))
    ring = stocked.item(RING)
    with stocked.house.enter("staff"):
        assert stocktake.find_differences({ring.pk: 1}) == []
        (difference,) = stocktake.record_counts({ring.pk: 0}, reason="broken and not written down", key="a")
        assert (difference.expected, difference.counted, difference.by) == (1, 0, -1)
        assert movements.balances([ring.pk]) == {ring.pk: 1}
        newest = Movement.objects.filter(item=ring).first()
        assert newest is not None
        assert (newest.kind, newest.quantity, newest.reason) == ("counted", -1, "broken and not written down")
        assert newest.person_id == stocked.house.staff.pk


def test_promised_latex_still_lies_on_the_shelf_and_is_counted_there(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    with stocked.house.enter():
        holds.hold(label="Fair", window=stocked.days(1, 2), needs=[Material(OAT_11, 150)], key="later")
        assert stocktake.find_differences({oat.pk: 200}) == []
        (difference,) = stocktake.find_differences({oat.pk: 190})
        assert difference.by == -10


def test_latex_that_is_out_is_not_missing_and_is_deducted_once(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    with stocked.house.enter():
        fair = holds.hold(label="Fair", window=stocked.days(-1, 1), needs=[Material(OAT_11, 150)], key="out")
        assert stocktake.find_differences({oat.pk: 50}) == []
        assert stocktake.record_counts({oat.pk: 50}, reason="", key="a") == []
        holds.count_back(fair.hold_id, used=[Material(OAT_11, 120)], key="back")
        assert movements.balances([oat.pk]) == {oat.pk: 80}
        assert stocktake.find_differences({oat.pk: 80}) == []


def test_what_is_held_beyond_the_shelf_is_not_made_up(stocked: Stocked) -> None:
    ink = stocked.item(INK_5)
    with stocked.house.enter():
        movements.receive(ink.pk, 10, key="ten")
        holds.hold(label="Fair", window=stocked.days(-1, 1), needs=[Material(INK_5, 40)], key="out")
        stocktake.record_counts({ink.pk: 0}, reason="", key="a")
        assert movements.balances([ink.pk]) == {ink.pk: 10}, "thirty were still to be bought"


def overdue(stocked: Stocked, monkeypatch: pytest.MonkeyPatch) -> int:
    """A fair that took a ring and 150 oat rounds, due back an hour ago, its returns not counted."""
    with stocked.house.enter():
        needs = [Material(OAT_11, 150), Material(RING, 1)]
        fair = holds.hold(label="Fair", window=stocked.days(-1, 0.01), needs=needs, key="out")
    later = stocked.now + timedelta(hours=1)
    monkeypatch.setattr("stock.counting.stocktake.timezone.now", lambda: later)
    return fair.hold_id


@pytest.mark.parametrize("code", [OAT_11, RING])
def test_nothing_is_counted_whose_returns_wait_to_be_counted(
    stocked: Stocked, code: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Part of it may lie in its place: whatever were written now, the returns would take off once more."""
    hold_id, item = overdue(stocked, monkeypatch), stocked.item(code)
    with stocked.house.enter():
        for write in (
            lambda: stocktake.find_differences({item.pk: 0}),
            lambda: stocktake.record_counts({item.pk: 0}, reason="", key="a"),
            lambda: stocktake.count_all(item.pk, 200, key="b"),
        ):
            with pytest.raises(stocktake.CannotCount, match=r"Count the returns of Fair .* first"):
                write()
        assert not Movement.objects.filter(kind="counted").exists()
        holds.count_back(hold_id, used=[Material(OAT_11, 130)], lost=[Material(RING, 1)], key="back")
        assert stocktake.find_differences({stocked.item(OAT_11).pk: 70, stocked.item(RING).pk: 1}) == []


def test_the_rest_of_a_place_is_counted_while_returns_wait(
    stocked: Stocked, monkeypatch: pytest.MonkeyPatch
) -> None:
    overdue(stocked, monkeypatch)
    oat, ink = stocked.item(OAT_11), stocked.item(INK_5)
    refused = sent(stocked, "shelf A", **{f"count_{oat.pk}": "60", f"count_{ink.pk}": "0"})
    page = re.sub(r"\s+", " ", refused.content.decode())
    assert refused.status_code == 422
    assert "Count the returns of Fair (150 went out) first, or leave this box empty." in page
    assert 'value="60"' in page
    assert "Fair: count its returns first" in page
    assert sent(stocked, "shelf A", **{f"count_{ink.pk}": "0"}).status_code == 302


@pytest.mark.parametrize("seed", range(12))
def test_counts_and_returns_in_any_order_leave_what_lies_there(stocked: Stocked, seed: int) -> None:
    """A shelf of real balloons beside the ledger: whoever counts it finds what lies there, whatever is out."""
    dice = random.Random(seed)  # noqa: S311 -- repeatable
    oat = stocked.item(OAT_11)
    lying, out = 200, dict[int, int]()
    with stocked.house.enter():
        for step in range(12):
            deed = dice.choice(("go", "back", "count", "theft"))
            if deed == "go" and lying > 10:
                number = dice.randint(1, lying // 2)
                window = stocked.days(-1, 1 + step)
                gone = holds.hold(
                    label=f"Fair {step}", window=window, needs=[Material(OAT_11, number)], key=f"{step}"
                )
                out[gone.hold_id], lying = number, lying - number
            elif deed == "back" and out:
                hold_id = dice.choice(sorted(out))
                used = dice.randint(0, out[hold_id])
                holds.count_back(hold_id, used=[Material(OAT_11, used)], key=f"{step}")
                lying += out.pop(hold_id) - used
            elif deed == "theft":
                lying -= dice.randint(0, min(lying, 3))
            else:
                stocktake.record_counts({oat.pk: lying}, reason="don’t know", key=f"{step}")
                assert movements.balances([oat.pk]) == {oat.pk: lying + sum(out.values())}
                assert stocktake.find_differences({oat.pk: lying}) == []
        for hold_id, number in out.items():
            holds.count_back(hold_id, used=[Material(OAT_11, number)], key=f"end-{hold_id}")
        stocktake.record_counts({oat.pk: lying}, reason="don’t know", key="end")
        assert movements.balances([oat.pk]) == {oat.pk: lying}
        assert movements.find_mismatches() == []


def test_a_place_is_written_once_however_often_it_is_sent(stocked: Stocked) -> None:
    oat, ink = stocked.item(OAT_11), stocked.item(INK_5)
    with stocked.house.enter():
        first = stocktake.record_counts({oat.pk: 180, ink.pk: 7}, reason="don’t know", key="k")
        again = stocktake.record_counts({oat.pk: 180, ink.pk: 7}, reason="don’t know", key="k")
        assert [each.by for each in first] == [each.by for each in again] == [-20, 7]
        assert movements.balances([oat.pk, ink.pk]) == {oat.pk: 180, ink.pk: 7}
        assert Movement.objects.filter(kind="counted").count() == 2
        assert movements.find_mismatches() == []


def test_a_bad_number_among_good_ones_writes_nothing(stocked: Stocked) -> None:
    oat, ink = stocked.item(OAT_11), stocked.item(INK_5)
    with stocked.house.enter():
        with pytest.raises(stocktake.CannotCount) as refusal:
            stocktake.record_counts({oat.pk: 180, ink.pk: -1}, reason="", key="k")
        assert list(refusal.value.by_item) == [ink.pk]
        with pytest.raises(ValidationError, match="Count at least one item"):
            stocktake.record_counts({}, reason="", key="k")
        assert not Movement.objects.filter(kind="counted").exists()


def test_a_count_of_all_below_what_is_out_is_refused(stocked: Stocked) -> None:
    out_now(stocked, Material(RING, 2))
    ring = stocked.item(RING)
    with stocked.house.enter():
        with pytest.raises(stocktake.CannotCount, match="2 are out at the moment"):
            stocktake.count_all(ring.pk, 1, key="k")
        assert stocktake.count_all(ring.pk, 2, key="k").quantity == 0


def test_crew_count_nothing(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    with (
        stocked.house.enter("crew"),
        pytest.raises(PermissionDenied, match="doesn't allow you to edit the shelf"),
    ):
        stocktake.record_counts({oat.pk: 1}, reason="", key="k")
    assert stocked.house.client("crew").get(stocked.house.url("stock:stocktake")).status_code == 403


def test_places_know_when_they_were_last_counted_in_full(stocked: Stocked) -> None:
    with stocked.house.enter():
        by_name = {place.name: place for place in stocktake.list_places()}
        assert by_name["bay C2"].counted_at is not None
        assert by_name["shelf A"].counted_at is None, "the ink rounds were never counted"
        assert by_name["shelf A"].items == 2


# --- The pages ---


def sent(stocked: Stocked, place: str, role: str = "staff", **data: Any) -> Any:
    client = stocked.house.client(role)
    address = stocked.house.url("stock:stocktake-place", place)
    key = re.search(r'name="key" value="([^"]+)"', client.get(address).content.decode())
    assert key is not None
    return client.post(address, {"key": key[1], **data})


def test_differences_are_shown_before_they_are_written(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    shown = sent(stocked, "shelf A", **{f"count_{oat.pk}": "185"})
    page = re.sub(r"\s+", " ", shown.content.decode())
    assert shown.status_code == 200
    assert "<strong>15 fewer</strong> than 200" in page
    assert 'value="185"' in page
    with stocked.house.enter():
        assert movements.balances([oat.pk]) == {oat.pk: 200}
    reviewed = re.search(r'name="reviewed" value="([^"]+)"', page)
    assert reviewed is not None
    done = sent(
        stocked,
        "shelf A",
        **{f"count_{oat.pk}": "185", "reviewed": reviewed[1], "reason": stocktake.REASONS[0]},
    )
    assert done.status_code == 302
    with stocked.house.enter():
        assert movements.balances([oat.pk]) == {oat.pk: 185}


def test_the_reason_is_unknown_until_somebody_says_it(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    page = sent(stocked, "shelf A", **{f"count_{oat.pk}": "185"}).content.decode()
    assert f'<option value="{stocktake.DONT_KNOW}" selected>' in page
    done = sent(stocked, "shelf A", **{f"count_{oat.pk}": "185", "reviewed": f"{oat.pk}:-15"})
    assert done.status_code == 302
    with stocked.house.enter():
        assert (
            Movement.objects.filter(item=oat, kind="counted").values_list("reason", flat=True)[0]
            == "don’t know"
        )


def test_the_reason_stays_in_a_form_that_comes_back_with_errors(stocked: Stocked) -> None:
    oat, ink = stocked.item(OAT_11), stocked.item(INK_5)
    reason = stocktake.REASONS[1]
    answer = sent(
        stocked,
        "shelf A",
        **{f"count_{oat.pk}": "185", f"count_{ink.pk}": "two", "reviewed": f"{oat.pk}:-15", "reason": reason},
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert f'<option value="{reason}" selected>' in page
    assert f'name="reviewed" value="{oat.pk}:-15"' in page


def test_the_count_sheet_lists_everything_by_its_place_and_what_is_out(stocked: Stocked) -> None:
    out_now(stocked, Material(OAT_11, 150))
    answer = stocked.house.client("crew").get(stocked.house.url("stock:count-sheet"))
    page = re.sub(r"\s+", " ", answer.content.decode())
    assert page.index("bay C2") < page.index("Ring 6 ft") < page.index("shelf A") < page.index("latex-11-oat")
    assert '<td class="number">50 <span class="line-sub small quiet">150 out for Fair</span></td>' in page


def test_a_count_that_fits_is_kept_at_once(stocked: Stocked) -> None:
    oat = stocked.item(OAT_11)
    assert sent(stocked, "shelf A", **{f"count_{oat.pk}": "200"}).status_code == 302


@pytest.mark.parametrize("typed", ["-3", "two", "1.5", "99999999999", ""])
def test_what_is_no_count_is_said_at_its_box_and_stays(stocked: Stocked, typed: str) -> None:
    oat = stocked.item(OAT_11)
    answer = sent(stocked, "shelf A", **{f"count_{oat.pk}": typed})
    assert answer.status_code == 422
    assert f'value="{typed}"' in answer.content.decode() or not typed
    with stocked.house.enter():
        assert not Movement.objects.filter(kind="counted").exists()


def test_another_places_things_are_not_written_through_this_one(stocked: Stocked) -> None:
    ring = stocked.item(RING)
    answer = sent(stocked, "shelf A", **{f"count_{ring.pk}": "0"})
    assert answer.status_code == 422
    with stocked.house.enter():
        assert movements.balances([ring.pk]) == {ring.pk: 2}


def test_the_pages_of_a_stock_take_take_few_queries(stocked: Stocked) -> None:
    client = stocked.house.client()
    addresses = (
        stocked.house.url("stock:stocktake"),
        stocked.house.url("stock:stocktake-place", "shelf A"),
    )
    for address in addresses:
        client.get(address)

    def queries() -> list[int]:
        found = []
        for address in addresses:
            with CaptureQueriesContext(connection) as seen:
                assert client.get(address).status_code == 200
            found.append(len(seen))
        return found

    before = queries()
    with stocked.house.enter():
        for number in range(12):
            items.add_item(kind=Kind.TOOL, name=f"Pump {number}", place="shelf A")
    assert queries() == before
    assert max(before) <= 15


@pytest.mark.parametrize("name", ["", "bay 1/2", "..", "¿?&#%", "a" * 40, "end/"])
def test_a_place_is_found_by_its_name_whatever_that_is(stocked: Stocked, name: str) -> None:
    with stocked.house.enter():
        items.add_item(kind=Kind.TOOL, name="Heavy pump", place=name)
    client = stocked.house.client()
    address = stocked.house.url("stock:stocktake-place", name)
    assert (
        f'href="{html.escape(address)}"' in client.get(stocked.house.url("stock:stocktake")).content.decode()
    )
    answer = client.get(address)
    assert "Heavy pump" in answer.content.decode()
    assert answer.headers[KEEP_HEADER] == str(stocked.house.owner.pk), "phones may keep it"
