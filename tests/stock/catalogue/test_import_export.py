"""The catalogue as a file: out and in again, a dry run, every fault beside its row, nothing half-written."""

from __future__ import annotations

import csv
import io
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from stock.catalogue import import_export, items
from stock.ledger import movements
from stock.models import Item, Kind
from studio.paper.csv_table import UnreadableFile
from studio.people import audit_trail
from tests.people import House
from tests.stock.conftest import COVER, OAT_11, RING, Stocked
from tests.stock.pages import text
from tests.worker import do_long_work


def table(*lines: str) -> bytes:
    return "\n".join(lines).encode()


def test_what_comes_out_goes_in_and_changes_nothing(stocked: Stocked) -> None:
    with stocked.house.enter():
        items.change_item(Item.objects.get(code=RING), note="=cmd|'/c'!A1", weight_kg=Decimal("6.4"))
        out = import_export.export_csv()
        assert "'=cmd" in out
        found = import_export.preview_csv(out.encode("utf-8-sig"))
        assert found.is_good
        assert found.count("same") == len(found.rows) == 4


def test_rows_change_and_add_after_a_dry_run_that_writes_nothing(stocked: Stocked) -> None:
    content = table(
        "code,kind,name,colour,size,pieces in a bag,place,GTIN,price of a bag",
        f"{OAT_11},,,,,50,bay A9,4006381333931,15.50",
        ",latex,,Ink,11,100,,,",
        "clip,hardware,Clip,,,,box 1,,",
    )
    with stocked.house.enter():
        found = import_export.preview_csv(content)
        assert [row.action for row in found.rows] == ["change", "add", "add"]
        assert ("pieces in a bag", "100", "50") in found.rows[0].changes
        assert Item.objects.count() == 4
        assert Item.objects.get(code=OAT_11).bag_size == 100
        import_export.import_csv(content)
        oat = Item.objects.get(code=OAT_11)
        assert (oat.bag_size, oat.place, oat.gtin, oat.bag_price) == (
            50,
            "bay A9",
            "4006381333931",
            Decimal("15.5"),
        )
        assert set(Item.objects.values_list("code", flat=True)) >= {"latex-11-ink", "clip"}
    # A scanner sends the same number with a zero before it as well.
    for scanned in ("4006381333931", "04006381333931"):
        answer = stocked.house.client("crew").get(stocked.house.url("stock:shelf"), {"q": scanned})
        assert answer["Location"] == stocked.house.url("stock:item", stocked.item(OAT_11).pk)
        by_script = stocked.house.client().get(
            stocked.house.url("stock:shelf"), {"q": scanned}, headers={"HX-Request": "true"}
        )
        assert by_script["HX-Redirect"] == answer["Location"]
    nobody = stocked.house.client().get(stocked.house.url("stock:shelf"), {"q": "4006381333948"})
    assert nobody.status_code == 200


def test_one_wrong_row_keeps_all_others_out_and_every_fault_is_beside_its_row(stocked: Stocked) -> None:
    content = table(
        "code;kind;name;pieces in a bag;GTIN;colour",
        f"{OAT_11};;;ten;4006381333932;",
        "good;tool;Good pump;;;",
        "bad;spaceship;Bad;;;",
        f"{RING};cover;;;;",
        "good;tool;Again;;;",
        "cov;cover;Cover;;;mauve",
        "ring-2;frame;Ring 2;;;",
        "x;tool;X;;;;;;more",
    )
    with stocked.house.enter("staff"):
        found = import_export.import_csv(content)
        assert [row.action for row in found.rows] == ["wrong", "add", *["wrong"] * 6]
        by_line = {row.number: " ".join(row.faults) for row in found.rows}
        assert "pieces in a bag: “ten” is not a whole number." in by_line[2]
        assert "GTIN: One digit is wrong" in by_line[2]
        assert "“spaceship” isn’t one of" in by_line[4]
        assert "The kind of an item can’t change" in by_line[5]
        assert "twice" in by_line[6]
        assert "“mauve” is not one of your colors" in by_line[7]
        assert "on the page “Add an item”" in by_line[8]
        assert "9 cells" in by_line[9]
        assert Item.objects.count() == 4


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("name,place\nÖl,bay".encode("utf-16"), "UTF-8"),
        ("name,place\nÖl,bay".encode("latin-1"), "UTF-8"),
        (b"name,name\na,b", "Column named twice: name"),
        (b"name,shoe size\na,b", "Unknown column: shoe size"),
        (b"place\nbay", "The header needs a column"),
        (b"", "empty"),
        (b"\n\n", "empty"),
        (b"name\n" + b"a\n" * 100_000, "rows are too many"),
        (b"x" * 2_000_001, "larger than"),
        (b"name\x00,place\na,b", "not a text"),
    ],
)
def test_what_is_no_table_is_said_plainly(stocked: Stocked, content: bytes, words: str) -> None:
    with stocked.house.enter(), pytest.raises(UnreadableFile, match=words):
        import_export.preview_csv(content)


def test_staff_neither_get_nor_set_costs(stocked: Stocked) -> None:
    with stocked.house.enter("staff"):
        head = next(csv.reader(io.StringIO(import_export.export_csv())))
        assert "price of a bag" not in head
        assert "cost of one" not in head
        with pytest.raises(UnreadableFile, match="Unknown column: cost of one"):
            import_export.preview_csv(table("code,cost of one", f"{COVER},3"))
    assert stocked.house.client("crew").get(stocked.house.url("stock:catalogue-export")).status_code == 403
    assert stocked.house.client("crew").get(stocked.house.url("stock:catalogue-import")).status_code == 403


def checked(stocked: Stocked, content: bytes, role: str = "owner") -> Any:
    """The page that says what a file would change, once the worker has checked it; or why it wasn't asked."""
    upload = SimpleUploadedFile("shelf.csv", content, content_type="text/csv")
    browser = stocked.house.client(role)
    answer = browser.post(stocked.house.url("stock:catalogue-import"), {"file": upload})
    if answer.status_code != 302:
        return answer
    assert "Checking the file." in browser.get(answer["Location"]).content.decode()
    assert do_long_work(stocked.house) == 1
    return browser.get(answer["Location"])


def test_the_page_shows_first_and_imports_on_the_second_press(stocked: Stocked) -> None:
    client, address = stocked.house.client(), stocked.house.url("stock:catalogue-import")
    seen = checked(stocked, table("code,kind,name,place", "clip,hardware,Clip,box 1"))
    assert "1 to add" in text(seen)
    with stocked.house.enter():
        assert not Item.objects.filter(code="clip").exists()
    result = client.post(seen.request["PATH_INFO"])["Location"]
    assert "Importing." in text(client.get(result))
    with stocked.house.enter():
        assert not Item.objects.filter(code="clip").exists()
    do_long_work(stocked.house)
    assert "1 added, 0 changed, 0 unchanged." in text(client.get(result))
    with stocked.house.enter():
        assert Item.objects.get(code="clip").place == "box 1"
    for wrong in ({}, {"file": SimpleUploadedFile("x.csv", b"\xff\xfe\x00")}):
        assert client.post(address, wrong).status_code == 422


def test_an_import_is_put_down_to_whoever_pressed_the_button(stocked: Stocked) -> None:
    seen = checked(stocked, table("code,kind,name", "clip,hardware,Clip"), "staff")
    stocked.house.client("staff").post(seen.request["PATH_INFO"])
    do_long_work(stocked.house)
    with stocked.house.enter():
        made = audit_trail.recent_entries(limit=5, kind="item")[0]
    assert (made.person, made.role) == (stocked.house.staff.name, "staff")


def test_a_file_that_went_wrong_after_its_check_imports_nothing(stocked: Stocked) -> None:
    client = stocked.house.client()
    seen = checked(stocked, table("code,kind,name", "clip,hardware,Clip", "pump,tool,Pump"))
    result = client.post(seen.request["PATH_INFO"])["Location"]
    with stocked.house.enter():
        items.add_item(kind=Kind.TOOL, name="Pump", code="pump")
        items.change_item(Item.objects.get(code="pump"), name="Big pump")
        Item.objects.filter(code="pump").update(kind=Kind.HARDWARE)
    do_long_work(stocked.house)
    page = text(client.get(result))
    assert "The kind of an item can’t change" in page
    assert "Nothing was changed." in page
    with stocked.house.enter():
        assert not Item.objects.filter(code="clip").exists()


def test_a_check_and_an_import_can_be_stopped(stocked: Stocked) -> None:
    client = stocked.house.client()
    content = table("code,kind,name", *(f"clip-{number},hardware,Clip {number}" for number in range(60)))
    seen = checked(stocked, content)
    result = client.post(seen.request["PATH_INFO"])["Location"]
    name = result.rstrip("/").rsplit("/", 2)[1]
    assert client.post(stocked.house.url("stock:import-stop", name))["Location"] == result
    do_long_work(stocked.house)
    assert "Stopped. Nothing was changed." in text(client.get(result))
    with stocked.house.enter():
        assert not Item.objects.filter(code__startswith="clip-").exists()


def test_a_second_press_on_import_leads_to_the_first_one(stocked: Stocked) -> None:
    client = stocked.house.client()
    seen = checked(stocked, table("code,kind,colour,size,pieces in a bag", ",latex,Ink,11,100"))
    first = client.post(seen.request["PATH_INFO"])["Location"]
    assert client.post(seen.request["PATH_INFO"])["Location"] == first
    assert do_long_work(stocked.house) == 1
    assert client.post(seen.request["PATH_INFO"])["Location"] == first, "it is imported by now"
    assert "1 added" in text(client.get(first))


def test_stopping_an_import_that_is_done_says_that_it_is_done(stocked: Stocked) -> None:
    client = stocked.house.client()
    seen = checked(stocked, table("code,kind,name", "clip,hardware,Clip"))
    result = client.post(seen.request["PATH_INFO"])["Location"]
    do_long_work(stocked.house)
    stop = stocked.house.url("stock:import-stop", result.rstrip("/").rsplit("/", 2)[1])
    assert "1 added, 0 changed" in text(client.get(client.post(stop)["Location"]))
    assert client.post(stocked.house.url("stock:import-stop", "never-asked")).status_code == 404


def test_a_check_of_another_studio_is_found_nowhere(stocked: Stocked, federkorn: House) -> None:
    seen = checked(stocked, table("code,kind,name", "clip,hardware,Clip"))
    foreign = seen.request["PATH_INFO"].replace(stocked.house.studio.slug, federkorn.studio.slug)
    assert federkorn.client().get(foreign).status_code == 404
    assert stocked.house.client("crew").get(seen.request["PATH_INFO"]).status_code == 403


def test_a_number_under_bars_is_checked_where_it_is_typed(stocked: Stocked) -> None:
    cover = stocked.item(COVER)
    client, address = stocked.house.client(), stocked.house.url("stock:item-change", cover.pk)
    wrong = client.post(address, {"name": "Ring cover", "gtin": "4006381333932"})
    assert wrong.status_code == 422
    assert "is 1, not 2" in text(wrong)
    assert client.post(address, {"name": "Ring cover", "gtin": "4006381333931"}).status_code == 302
    with stocked.house.enter():
        assert Item.objects.get(code=COVER).gtin == "4006381333931"
        items.add_item(kind=Kind.TOOL, name="Pump")
    pump = stocked.item("pump")
    twice = client.post(
        stocked.house.url("stock:item-change", pump.pk), {"name": "Pump", "gtin": "4006381333931"}
    )
    assert twice.status_code == 422


def test_a_formula_in_a_cell_stays_text_and_goes_out_harmless(stocked: Stocked) -> None:
    formula = '=HYPERLINK("http://bad.example")'
    content = table("kind,name,note", f'tool,Odd pump,"{formula.replace(chr(34), chr(34) * 2)}"')
    with stocked.house.enter():
        assert import_export.import_csv(content).is_good
        assert Item.objects.get(name="Odd pump").note == formula
        row = next(row for row in csv.reader(io.StringIO(import_export.export_csv())) if "Odd pump" in row)
        assert f"'{formula}" in row
        assert not any(cell.startswith("=") for cell in row)


@pytest.mark.parametrize(
    "content",
    [
        "name,place\nÖl,bay".encode("latin-1"),
        b"name,name\na,b",
        b"name\n" + b"a\n" * 100_000,
        b"name,pieces in a bag\nOat 11 in,=1+1",
    ],
    ids=["wrong encoding", "doubled columns", "100,000 rows", "a formula for a number"],
)
def test_a_bad_file_is_answered_on_the_page_and_writes_nothing(stocked: Stocked, content: bytes) -> None:
    with stocked.house.enter():
        before = list(Item.objects.order_by("pk").values())
    answer = checked(stocked, content)
    assert answer.status_code == 422 or "Nothing was changed." in text(answer)
    with stocked.house.enter():
        assert list(Item.objects.order_by("pk").values()) == before


def test_new_items_come_with_how_many_are_here_and_known_ones_keep_their_count(stocked: Stocked) -> None:
    content = table(
        "code,kind,name,after an event,here now,place",
        "clip,hardware,Clip,consumable,40,box 1",
        "easel,prop,Easel,reusable,,bay 2",
    )
    with stocked.house.enter():
        assert import_export.preview_csv(content).is_good
        assert not Item.objects.filter(code="clip").exists()
        assert import_export.import_csv(content).is_good
        clip, easel = Item.objects.get(code="clip"), Item.objects.get(code="easel")
        assert movements.balances([clip.pk, easel.pk]) == {clip.pk: 40, easel.pk: 0}
        again = import_export.import_csv(content)
        assert [row.action for row in again.rows] == ["wrong", "same"]
        assert "Count it on its page" in again.rows[0].faults[0]
        assert movements.balances([clip.pk]) == {clip.pk: 40}


@pytest.mark.parametrize("odd", ["-1", "many", "1000001", "9" * 4400])
def test_an_impossible_count_is_told_in_its_row(stocked: Stocked, odd: str) -> None:
    with stocked.house.enter():
        found = import_export.import_csv(table("kind,name,here now", f"hardware,Clip,{odd}"))
        assert [row.action for row in found.rows] == ["wrong"]
        assert not Item.objects.filter(name="Clip").exists()


FOREIGN = ("Artikelnummer", "Bezeichnung", "Art", "Lagerort", "Menge", "Size of box")


def test_a_table_with_other_names_asks_which_column_is_which(stocked: Stocked) -> None:
    content = table(
        ",".join(FOREIGN), "pump-7,Hand pump,Tool,bay 9,3,huge", "plinth-2,Plinth,prop,bay 2,5,small"
    )
    browser = stocked.house.client()
    address = stocked.house.url("stock:catalogue-import")
    page = browser.post(address, {"file": SimpleUploadedFile("items.csv", content, "text/csv")})
    assert page.status_code == 200
    assert "Which column says what" in page.content.decode()
    with stocked.house.enter():
        guessed = import_export.column_fields().guess(FOREIGN)
    assert guessed == {"code": 0, "kind": 2, "name": 1, "place": 3, "here_now": 4}
    chosen = {key: str(place) for key, place in guessed.items()}
    answer = browser.post(address, {"table": content.decode(), **chosen})
    assert answer.status_code == 302
    do_long_work(stocked.house)
    assert "2 to add" in text(browser.get(answer["Location"]))
    browser.post(answer["Location"])
    do_long_work(stocked.house)
    with stocked.house.enter():
        assert Item.objects.filter(code__in=("pump-7", "plinth-2")).count() == 2


def test_columns_that_are_chosen_twice_or_name_nothing_are_refused(stocked: Stocked) -> None:
    content = table("Bezeichnung,Menge", "Arch,3")
    browser = stocked.house.client()
    address = stocked.house.url("stock:catalogue-import")
    without = browser.post(address, {"table": content.decode(), "place": "1"})
    assert without.status_code == 422
    assert "needs a column “code” or “name”" in without.content.decode()
    wrong = browser.post(address, {"table": content.decode(), "name": "7"})
    assert wrong.status_code == 422


def test_the_chosen_columns_are_the_whole_file(stocked: Stocked) -> None:
    content = "\ufeffItem;Cost;Price\nArch, tall;80;25\nPlinth;;\n".encode()
    # Read back by the standard library, not by us.
    rows = list(
        csv.reader(io.StringIO(import_export.renamed(content, {"name": 0, "price_per_use": 2}).decode()))
    )
    assert rows == [["name", "price per use"], ["Arch, tall", "25"], ["Plinth", ""]]
