"""The pages of an order: receiving, its PDF and its CSV."""

from __future__ import annotations

import csv
import io
import re
from decimal import Decimal

import pytest
from pypdf import PdfReader

from stock.ledger import movements
from stock.models import OrderLine
from stock.orders import orders
from stock.tasks import render_order
from studio.models import OutboxEntry
from tests.stock.conftest import INK_5, Stocked, ordered
from tests.stock.pages import text


def test_staff_receive_a_delivery_and_see_no_price(sold: Stocked) -> None:
    order = ordered(sold)
    client = sold.house.client("staff")
    page = text(client.get(sold.house.url("stock:order", order.pk)))
    assert "$" not in page
    assert "8.00" not in page
    key = re.search(r'name="key" value="([^"]+)"', page)
    with sold.house.enter():
        line = OrderLine.objects.get()
    assert key is not None
    data = {"key": key[1], f"came_{line.pk}": "120", f"batch_{line.pk}": "L-77", "note": "DN 9"}
    first, answer = (client.post(sold.house.url("stock:order-receive", order.pk), data) for _ in range(2))
    assert (first.status_code, answer.status_code) == (302, 302)  # a double press
    with sold.house.enter():
        assert movements.balances([line.item_id]) == {line.item_id: 120}
    assert "180 pieces are still due." in text(client.get(answer["Location"]))


@pytest.mark.parametrize("typed", ["", "0", "-4", "many", "99999999999999"])
def test_a_delivery_that_is_none_is_said_and_stays_typed(sold: Stocked, typed: str) -> None:
    order = ordered(sold)
    with sold.house.enter():
        line = OrderLine.objects.get()
    data = {"key": "k9", f"came_{line.pk}": typed, "note": "DN 9"}
    answer = sold.house.client("staff").post(sold.house.url("stock:order-receive", order.pk), data)
    assert answer.status_code == 422
    assert 'value="DN 9"' in text(answer)
    assert not typed or f'value="{typed}"' in text(answer)


def test_the_order_is_a_pdf_with_its_lines_and_total(sold: Stocked) -> None:
    order = ordered(sold)
    client, address = sold.house.client(), sold.house.url("stock:order-pdf", order.pk)
    assert client.get(address).status_code == 302, "there is none before it is asked for"
    asked = client.post(sold.house.url("stock:order-pdf-make", order.pk), headers={"HX-Request": "true"})
    assert "Making the PDF" in text(asked)
    assert client.post(sold.house.url("stock:order-pdf-make", order.pk)).status_code == 302
    with sold.house.enter():
        entry = OutboxEntry.objects.get(task="stock.render_order")
    # What the worker does with it, in the studio and without a person.
    render_order(studio_id=sold.house.studio.pk, entry_id=entry.pk)
    answer = client.get(address)
    assert answer["Content-Type"] == "application/pdf"
    assert "order.pdf" in text(client.get(sold.house.url("stock:order-pdf-state", order.pk)))
    words = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)
    assert "Order 1" in words
    assert "Harbour Wholesale" in words
    assert "$24.00" in words
    with sold.house.enter():
        orders.change_price(order.lines.get().pk, Decimal("9.00"))
    assert client.get(address).status_code == 302, "another price is another paper"


def test_the_order_is_a_table_without_formulas(sold: Stocked) -> None:
    order = ordered(sold)
    answer = sold.house.client().get(sold.house.url("stock:order-csv", order.pk))
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert rows == [
        {
            "order": "1", "your number": "'=1+1", "our code": INK_5, "GTIN": "", "what": "Ink 5 in", "bags": "3",
            "pieces in a bag": "100", "price of a bag": "8.00", "amount": "24.00",
        }
    ]  # fmt: skip
