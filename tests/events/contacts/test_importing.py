"""Clients come out of a table: columns are guessed or said, what is known stays, and what is wrong is told."""

from __future__ import annotations

import csv
import io
import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from events.contacts import importing
from events.models import Client
from studio.paper.csv_table import CsvTable
from tests.people import House

pytestmark = pytest.mark.django_db

HEAD = ("Vorname", "Nachname", "E-Mail", "Telefon", "Notiz")


def written(*rows: tuple[str, ...], head: tuple[str, ...] = HEAD) -> bytes:
    # Written by the standard library, not by us.
    out = io.StringIO()
    csv.writer(out, delimiter=";").writerows([head, *rows])
    return out.getvalue().encode("utf-8-sig")


def send(house: House, content: bytes, role: str = "owner") -> Any:
    upload = SimpleUploadedFile("clients.csv", content, "text/csv")
    return house.client(role).post(house.url("events:clients-import"), {"file": upload})


def test_a_table_is_looked_at_first_and_then_added(wickerlark: House) -> None:
    content = written(
        ("Hanna", "Weiß", "Hanna@Weiss.example", "(617) 555-0123", "likes sage"),
        ("Tam", "Reed", "", "", ""),
    )
    page = send(wickerlark, content).content.decode()
    assert "2 new, 0 known already" in " ".join(page.split())
    with wickerlark.enter():
        assert not Client.objects.exists()
    table = re.search(r'name="table" value="([^"]*)"', page)
    assert table
    said = {
        "table": content.decode("utf-8-sig"),
        "name": "0",
        "surname": "1",
        "email": "2",
        "phone": "3",
        "notes": "4",
    }
    added = wickerlark.client().post(wickerlark.url("events:clients-import"), {**said, "import": "1"})
    assert added.status_code == 302
    with wickerlark.enter():
        rows = set(Client.objects.values_list("name", "email", "phone", "notes"))
    assert rows == {
        ("Hanna Weiß", "hanna@weiss.example", "+16175550123", "likes sage"),
        ("Tam Reed", "", "", ""),
    }


def test_columns_are_guessed_and_can_be_said(wickerlark: House) -> None:
    content = written(("Hanna", "hanna@weiss.example"), head=("Who", "Write to"))
    page = send(wickerlark, content).content.decode()
    assert "There is no name." in page
    said = {"table": content.decode("utf-8-sig"), "name": "0", "email": "1"}
    shown = wickerlark.client().post(wickerlark.url("events:clients-import"), said).content.decode()
    assert "1 new" in " ".join(shown.split())
    wrong = wickerlark.client().post(wickerlark.url("events:clients-import"), {**said, "name": "7"})
    assert wrong.status_code == 422


def test_who_is_known_or_stands_twice_is_not_added_again(wickerlark: House) -> None:
    with wickerlark.enter():
        Client.objects.create(name="Hanna", email="hanna@weiss.example")
        Client.objects.create(name="Tam Reed", phone="+16175550199")
        table = CsvTable(
            ("Name", "E-mail", "Phone"),
            (
                ("Hanna Weiss", "HANNA@weiss.example", ""),
                ("tam reed", "", "617 555 0199"),
                ("Tam Reed", "", "617 555 0123"),
                ("Ada", "ada@reed.example", ""),
                ("Ada again", "Ada@reed.example", ""),
            ),
        )
        columns = importing.FIELDS.guess(table.names)
        assert importing.import_clients(table, columns) == 2
        assert importing.import_clients(table, columns) == 0
        assert Client.objects.get(email="hanna@weiss.example").name == "Hanna"


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (("", "", "", "", ""), "There is no name."),
        (("Hanna", "", "no address", "", ""), "is no e-mail address"),
        (("Hanna", "", "", "12", ""), "is no telephone number"),
        (("H" * 121, "", "", "", ""), "The name is too long."),
    ],
)
def test_a_line_that_is_no_client_says_why_and_is_left_out(
    wickerlark: House, row: tuple[str, ...], said: str
) -> None:
    content = written(row, ("Tam", "Reed", "", "", ""), (",", "", "", "", ""))
    with wickerlark.enter():
        table = importing.read_clients_table(content)
        found = importing.preview(table, importing.FIELDS.guess(table.names))
    assert "Tam Reed" in [each.name for each in found.new]
    if any(row):
        assert said in " ".join(found.wrong[0].faults)


@pytest.mark.parametrize(
    ("content", "said"),
    [(b"", "is empty"), (b"\xff\xfe", "UTF-8"), (b"a\x00b", "not a text"), (b"\n\n", "is empty")],
)
def test_what_is_no_table_is_refused_in_words(wickerlark: House, content: bytes, said: str) -> None:
    answer = send(wickerlark, content)
    assert answer.status_code == 422
    assert said in answer.content.decode()


def test_too_many_rows_are_refused(wickerlark: House) -> None:
    content = written(*[(f"Client {number}", "", "", "", "") for number in range(2_001)])
    answer = send(wickerlark, content)
    assert answer.status_code == 422
    assert "2,001 rows are too many" in answer.content.decode()


def test_three_hundred_clients_take_as_many_queries_as_three(
    wickerlark: House, django_assert_max_num_queries: Any
) -> None:
    for many in (3, 300):
        rows = [
            (f"Client {many} {number}", "", f"c{many}-{number}@example.test", "", "")
            for number in range(many)
        ]
        with wickerlark.enter():
            table = importing.read_clients_table(written(*rows))
            with django_assert_max_num_queries(8):
                assert importing.import_clients(table, importing.FIELDS.guess(table.names)) == many


def test_crew_import_nobody(wickerlark: House) -> None:
    assert send(wickerlark, written(("Hanna", "", "", "", "")), "crew").status_code == 403


def test_without_a_file_one_is_asked_for(wickerlark: House) -> None:
    answer = wickerlark.client().post(wickerlark.url("events:clients-import"))
    assert answer.status_code == 422
    assert "Choose a file." in answer.content.decode()


def test_address_cards_become_clients(wickerlark: House) -> None:
    # The example of RFC 6350, section 8, shortened.
    card = (
        "BEGIN:VCARD\r\nVERSION:4.0\r\nFN:Simon Perreault\r\nADR;TYPE=work:;Suite D2-630;2875 Laurier;\r\n"
        ' Quebec;QC;G1V 2M2;Canada\r\nTEL;VALUE=uri;TYPE="work,voice";PREF=1:tel:+1-418-656-9254\r\n'
        "EMAIL;TYPE=work:simon.perreault@viagenie.ca\r\nEND:VCARD\r\n"
    )
    upload = SimpleUploadedFile("cards.vcf", card.encode(), "text/vcard")
    page = (
        wickerlark.client().post(wickerlark.url("events:clients-import"), {"file": upload}).content.decode()
    )
    assert "1 new" in " ".join(page.split())
    said = {
        "table": card,
        "name": "0",
        "email": "1",
        "phone": "2",
        "bill_to": "3",
        "notes": "4",
        "import": "1",
    }
    assert wickerlark.client().post(wickerlark.url("events:clients-import"), said).status_code == 302
    with wickerlark.enter():
        client = Client.objects.get()
    assert (client.name, client.phone) == ("Simon Perreault", "+14186569254")
    assert client.bill_to.splitlines()[1] == "2875 Laurier"
