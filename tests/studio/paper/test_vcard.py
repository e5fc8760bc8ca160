"""Address cards: the standard's own examples, cards that another library writes, and what phones of old write."""

from __future__ import annotations

import pytest
import vobject
from hypothesis import given
from hypothesis import strategies as st

from studio.paper.csv_table import UnreadableFile
from studio.paper.vcard import COLUMNS, Card, cards_table, is_vcard, read_cards

# RFC 6350, section 8, the author's card, shortened by its key and its pictures.
AUTHOR = """BEGIN:VCARD
VERSION:4.0
FN:Simon Perreault
N:Perreault;Simon;;;ing. jr,M.Sc.
BDAY:--0203
ANNIVERSARY:20090808T1430-0500
GENDER:M
LANG;PREF=1:fr
LANG;PREF=2:en
ORG;TYPE=work:Viagenie
ADR;TYPE=work:;Suite D2-630;2875 Laurier;
 Quebec;QC;G1V 2M2;Canada
TEL;VALUE=uri;TYPE="work,voice";PREF=1:tel:+1-418-656-9254;ext=102
TEL;VALUE=uri;TYPE="work,cell,voice,video,text":tel:+1-418-262-6501
EMAIL;TYPE=work:simon.perreault@viagenie.ca
GEO;TYPE=work:geo:46.772673,-71.282945
TZ:-0500
URL;TYPE=home:http://nomis80.org
END:VCARD
"""
# RFC 2426, section 7, the authors' address.
OLDER = """BEGIN:vCard
VERSION:3.0
FN:Frank Dawson
ORG:Lotus Development Corporation
ADR;TYPE=WORK,POSTAL,PARCEL:;;6544 Battleford Drive
 ;Raleigh;NC;27613-3502;U.S.A.
TEL;TYPE=VOICE,MSG,WORK:+1-919-676-9515
TEL;TYPE=FAX,WORK:+1-919-676-9564
EMAIL;TYPE=INTERNET,PREF:Frank_Dawson@Lotus.com
EMAIL;TYPE=INTERNET:fdawson@earthlink.net
URL:http://home.earthlink.net/~fdawson
END:vCard
"""
# As phones write version 2.1: kinds without a name, quoted-printable text with soft breaks. From memory.
OLDEST = """BEGIN:VCARD\r
VERSION:2.1\r
N;CHARSET=UTF-8;ENCODING=QUOTED-PRINTABLE:Wei=C3=9F;Hanna;;;\r
FN;CHARSET=UTF-8;ENCODING=QUOTED-PRINTABLE:Hanna =\r
Wei=C3=9F\r
TEL;HOME:030 1234567\r
TEL;CELL;PREF:0171 7654321\r
END:VCARD\r
"""


def test_the_example_of_the_standard_is_read() -> None:
    (card,) = read_cards(AUTHOR)
    assert card == Card(
        "Simon Perreault",
        ("simon.perreault@viagenie.ca",),
        ("+1-418-656-9254;ext=102", "+1-418-262-6501"),
        "Suite D2-630\n2875 Laurier\nQuebec\nQC\nG1V 2M2\nCanada",
        "Viagenie",
    )


def test_the_example_of_the_older_standard_is_read() -> None:
    (card,) = read_cards(OLDER)
    assert card.name == "Frank Dawson"
    assert card.emails == ("Frank_Dawson@Lotus.com", "fdawson@earthlink.net")
    assert card.phones == ("+1-919-676-9515", "+1-919-676-9564")
    assert card.address.splitlines() == ["6544 Battleford Drive", "Raleigh", "NC", "27613-3502", "U.S.A."]


def test_a_card_of_an_old_phone_is_read() -> None:
    assert read_cards(OLDEST) == [Card("Hanna Weiß", (), ("0171 7654321", "030 1234567"))]


def test_a_name_comes_from_its_parts_or_the_business_where_no_full_one_is_said() -> None:
    head, foot = "BEGIN:VCARD\nVERSION:3.0\n", "END:VCARD\n"
    parts, business = read_cards(f"{head}N:Reed;Ada;;Dr.;\n{foot}{head}ORG:Reed & Daughters;Shop\n{foot}")
    assert (parts.name, business.name) == ("Dr. Ada Reed", "Reed & Daughters")


def test_ten_numbers_are_one_to_call_and_nine_among_the_notes() -> None:
    numbers = [f"+1617555010{number}" for number in range(10)]
    card = [
        "BEGIN:VCARD",
        "VERSION:4.0",
        "FN:Ada",
        *(f"item{numbers.index(n)}.TEL:{n}" for n in numbers),
        "END:VCARD",
    ]
    table = cards_table("\n".join(card).encode(), most_cards=9, most_bytes=9_999)
    assert table.names == COLUMNS
    assert table.rows == (("Ada", "", numbers[0], "", ", ".join(numbers[1:])),)


TEXT = st.text(st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp")), min_size=1, max_size=90).map(
    str.strip
)


# Written by vobject, an independent library.
@given(st.lists(st.tuples(TEXT.filter(bool), TEXT, st.integers(10**9, 10**10)), min_size=1, max_size=4))
def test_cards_that_another_library_writes_are_read(people: list[tuple[str, str, int]]) -> None:
    written = ""
    for name, note, number in people:
        card = vobject.vCard()
        card.add("n").value = vobject.vcard.Name(family=name, given="")
        card.add("fn").value = name
        card.add("note").value = note
        card.add("tel").value = f"+{number}"
        written += card.serialize()
    assert is_vcard(written.encode())
    read = [(card.name, card.notes, card.phones) for card in read_cards(written)]
    assert read == [(name, note, (f"+{number}",)) for name, note, number in people]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"BEGIN:VCARD\nFN:Ada\n", "has no end"),
        (b"BEGIN:VCARD\nno colon\nEND:VCARD\n", "can be read"),
        (b"BEGIN:VCARD\xff", "UTF-8"),
        (b"BEGIN:VCARD\nEND:VCARD\n" * 3, "3 cards are too many"),
    ],
)
def test_what_is_no_card_is_refused_in_words(content: bytes, said: str) -> None:
    with pytest.raises(UnreadableFile, match=said):
        cards_table(content, most_cards=2, most_bytes=9_999)
