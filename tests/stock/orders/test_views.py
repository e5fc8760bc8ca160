"""The pages of an order: receiving, its PDF and its CSV."""

from __future__ import annotations

import csv
import io
import re
from decimal import Decimal

import pytest
from django.core.mail import EmailMessage
from pypdf import PdfReader

from stock.ledger import movements
from stock.models import Item, Movement, OrderLine, PurchaseOrder, Supplier
from stock.orders import order_mail, orders
from stock.orders.orders import Wanted
from stock.suppliers import suppliers
from stock.tasks import mail_order, render_order
from studio.models import OutboxEntry
from tests.people import House
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


def receive(sold: Stocked, order: PurchaseOrder, **typed: str) -> str:
    """Send the delivery form; the page that came of it, with all its space in one."""
    address = sold.house.url("stock:order-receive", order.pk)
    answer = sold.house.client("staff").post(address, {"key": "k1", **typed}, follow=True)
    return re.sub(r"\s+", " ", text(answer))


def test_bags_and_loose_pieces_each_have_a_box_with_its_unit(sold: Stocked) -> None:
    order = ordered(sold)
    with sold.house.enter():
        line = OrderLine.objects.get()
    page = re.sub(r"\s+", " ", text(sold.house.client("staff").get(sold.house.url("stock:order", order.pk))))
    assert '<span class="unit">bags of 100</span>' in page
    assert '<span class="unit">loose pieces</span>' in page
    assert "280 pieces received. 20 pieces are still due." in receive(
        sold, order, **{f"bags_{line.pk}": "2", f"came_{line.pk}": "80"}
    )
    with sold.house.enter():
        assert movements.balances([line.item_id]) == {line.item_id: 280}


def test_far_too_many_ask_before_they_are_received(sold: Stocked) -> None:
    order = ordered(sold)
    with sold.house.enter():
        line = OrderLine.objects.get()
    typed = {f"bags_{line.pk}": "300"}
    page = receive(sold, order, **typed)
    assert "30,000 pieces came, but 300 are due." in page
    assert 'value="300"' in page
    assert "I counted again: receive this many" in page
    with sold.house.enter():
        assert movements.balances([line.item_id]) == {line.item_id: 0}
        assert orders.find_order(order.pk).state == "sent"
    assert "30,000 pieces received." in receive(sold, order, **typed, sure="on")


def test_a_receipt_is_corrected_by_a_counter_entry_and_the_order_is_due_again(sold: Stocked) -> None:
    order = ordered(sold)
    with sold.house.enter():
        line = OrderLine.objects.get()
    assert "The order is complete." in receive(sold, order, **{f"bags_{line.pk}": "3"})
    with sold.house.enter():
        receipt = Movement.objects.get(kind="received")
    client, address = sold.house.client("staff"), sold.house.url("stock:receipt-correct", receipt.pk)
    assert address in text(client.get(sold.house.url("stock:order", order.pk)))
    assert address in text(client.get(sold.house.url("stock:item", line.item_id)))
    data = {"key": "fix", "pieces": "3", "reason": "pieces were typed as bags"}
    first, again = (client.post(address, data) for _ in range(2))
    assert (first.status_code, again.status_code) == (302, 302)
    page = re.sub(r"\s+", " ", text(client.get(again["Location"])))
    assert "297 pieces still due" in page
    assert "corrected from 300" in page
    with sold.house.enter():
        assert movements.balances([line.item_id]) == {line.item_id: 3}
        assert orders.find_order(order.pk).state == "sent"
        (counter,) = Movement.objects.filter(kind="corrected")
        assert (counter.quantity, counter.corrects_id, counter.order_line_id) == (-297, receipt.pk, line.pk)


@pytest.mark.parametrize(
    ("pieces", "said"), [("120", "recorded already"), ("-1", "greater than or equal to 0"), ("", "required")]
)
def test_a_correction_that_is_none_is_said_at_its_box(sold: Stocked, pieces: str, said: str) -> None:
    order = ordered(sold)
    with sold.house.enter():
        line = OrderLine.objects.get()
        orders.receive_delivery(order.pk, {line.pk: orders.Delivered(120)}, key="d")
        receipt = Movement.objects.get(kind="received")
    answer = sold.house.client("staff").post(
        sold.house.url("stock:receipt-correct", receipt.pk),
        {"key": "correction", "pieces": pieces, "reason": "typo"},
    )
    assert answer.status_code == 422
    assert said in text(answer)


def test_another_studios_receipt_is_not_found(sold: Stocked, federkorn: House) -> None:
    order = ordered(sold)
    with sold.house.enter():
        orders.receive_delivery(order.pk, {OrderLine.objects.get().pk: orders.Delivered(120)}, key="d")
        receipt = Movement.objects.get(kind="received")
    assert federkorn.client().get(federkorn.url("stock:receipt-correct", receipt.pk)).status_code == 404


# --- Sending ---


def draft(sold: Stocked, email: str) -> PurchaseOrder:
    with sold.house.enter():
        supplier = Supplier.objects.get()
        suppliers.change_supplier(supplier, email=email)
        wanted = [Wanted(Item.objects.get(code=INK_5).pk, 100, 3, Decimal("8.00"))]
        return orders.write_order(supplier.pk, wanted, key="o")


def work_off(sold: Stocked) -> None:
    with sold.house.enter():
        entries = list(OutboxEntry.objects.filter(task="stock.mail_order", done_at=None))
    for entry in entries:
        mail_order(studio_id=sold.house.studio.pk, entry_id=entry.pk)


def test_sending_an_order_mails_it_with_its_pdf_and_csv(
    sold: Stocked, mailoutbox: list[EmailMessage]
) -> None:
    order = draft(sold, "orders@harbour.example")
    client = sold.house.client()
    assert "Send order" in text(client.get(sold.house.url("stock:order", order.pk)))
    answer = client.post(sold.house.url("stock:order-send", order.pk), {"by": "mail"}, follow=True)
    page = re.sub(r"\s+", " ", text(answer))
    assert "Order 1 goes to orders@harbour.example by e-mail, with its PDF and CSV." in page
    assert "On its way to orders@harbour.example." in page
    assert mailoutbox == [], "it leaves by the worker"
    work_off(sold)
    work_off(sold)
    (letter,) = mailoutbox
    assert letter.to == ["orders@harbour.example"]
    assert letter.subject == "Order 1 from Wickerlark Decor"
    assert "3 × Ink 5 in, bags of 100" in letter.body
    (pdf_name, pdf, _), (csv_name, table, _) = letter.attachments
    assert (pdf_name, csv_name) == ("order-1.pdf", "order-1.csv")
    assert "$24.00" in " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    text_of_table = table.decode("utf-8-sig") if isinstance(table, bytes) else table
    assert [row["bags"] for row in csv.DictReader(io.StringIO(text_of_table.lstrip("\ufeff")))] == ["3"]
    assert "Sent to orders@harbour.example" in text(client.get(sold.house.url("stock:order", order.pk)))


def test_a_second_press_sends_no_second_mail_and_send_again_does(
    sold: Stocked, mailoutbox: list[EmailMessage]
) -> None:
    order = draft(sold, "orders@harbour.example")
    client = sold.house.client()
    for _ in range(2):
        client.post(sold.house.url("stock:order-send", order.pk), {"by": "mail"})
    client.post(sold.house.url("stock:order-mail", order.pk))
    work_off(sold)
    assert len(mailoutbox) == 1
    client.post(sold.house.url("stock:order-mail", order.pk))
    work_off(sold)
    assert len(mailoutbox) == 2


def test_an_order_is_not_sent_without_an_address_and_stays_a_draft(sold: Stocked) -> None:
    order = draft(sold, "")
    client = sold.house.client()
    page = text(client.get(sold.house.url("stock:order", order.pk)))
    assert "add the supplier’s e-mail address" in page
    assert "Send order" not in page
    answer = client.post(sold.house.url("stock:order-send", order.pk), {"by": "mail"})
    assert answer.status_code == 422
    assert "This supplier has no e-mail address." in text(answer)
    with sold.house.enter():
        assert orders.find_order(order.pk).state == "draft"
        assert not OutboxEntry.objects.filter(task="stock.mail_order").exists()


def test_an_order_that_was_cancelled_meanwhile_is_not_mailed(
    sold: Stocked, mailoutbox: list[EmailMessage]
) -> None:
    order = draft(sold, "orders@harbour.example")
    with sold.house.enter():
        order_mail.send_order(order.pk)
        orders.cancel_order(order.pk)
    work_off(sold)
    assert mailoutbox == []


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
