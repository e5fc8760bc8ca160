"""Many who issue and book at once against the real server: no number twice, none left out, no cent too much."""

from __future__ import annotations

import threading
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import connection

from quoting.invoices import invoiced, issuing, payments
from quoting.invoices.settling import standing, today_at
from quoting.models import Invoice, NumberSeries, PaidBy, Payment
from tests import people
from tests.quoting.invoice_scenes import agreed, deposit_of

WRITERS = 6
EACH = 4
D = Decimal


def at_once(works: list[Callable[[], None]]) -> list[Exception]:
    """Run everything in threads of their own, each on its own connection; gives what went wrong."""
    wrong: list[Exception] = []
    start = threading.Barrier(len(works))

    def run(work: Callable[[], None]) -> None:
        try:
            start.wait(timeout=60)
            work()
        except Exception as fault:  # noqa: BLE001 # told to the test, which expects none
            wrong.append(fault)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(work,)) for work in works]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=120)
    return wrong


@pytest.mark.django_db(transaction=True)
def test_numbers_have_neither_gaps_nor_doubles_however_many_issue_at_once() -> None:
    house = people.wickerlark()
    offer = agreed(house)
    today = today_at(house.studio)

    def issue(writer: int) -> Callable[[], None]:
        def work() -> None:
            for number in range(EACH):
                try:
                    with house.enter("staff"):
                        issuing.issue_instalment(
                            offer, amount=D("1.11"), label="Part", due_on=today, key=f"{writer}-{number}"
                        )
                        if number == 1:  # a number is only taken together with its invoice
                            raise InterruptedError
                except InterruptedError:
                    continue

        return work

    assert at_once([issue(writer) for writer in range(WRITERS)]) == []
    with house.enter():
        numbers = list(Invoice.objects.order_by("number").values_list("number", flat=True))
        expected = 1 + WRITERS * (EACH - 1)
        assert numbers == list(range(1, expected + 1))
        assert NumberSeries.objects.get().last_invoice == expected
        left = invoiced.left_to_invoice(offer)
        assert left == offer.total - offer.deposit - D("1.11") * WRITERS * (EACH - 1)


@pytest.mark.django_db(transaction=True)
def test_one_deposit_is_never_paid_twice_however_many_book_at_once() -> None:
    house = people.wickerlark()
    offer = agreed(house, confirmed_by="deposit")
    today = today_at(house.studio)
    with house.enter():
        deposit = deposit_of(offer)
    refused: list[str] = []

    def book(writer: int) -> Callable[[], None]:
        def work() -> None:
            try:
                with house.enter("staff"):
                    payments.record(
                        deposit.pk,
                        amount=deposit.total,
                        received_on=today,
                        paid_by=PaidBy.CASH,
                        key=f"w-{writer}",
                    )
            except ValidationError as fault:
                refused.extend(fault.messages)

        return work

    assert at_once([book(writer) for writer in range(WRITERS)]) == []
    assert len(refused) == WRITERS - 1
    with house.enter():
        assert Payment.objects.count() == 1
        assert standing(issuing.find(deposit.pk), today).left == 0
        offer.quote.event.refresh_from_db()
        assert offer.quote.event.is_agreed


@pytest.mark.django_db(transaction=True)
def test_the_balance_is_issued_once_and_never_more_is_credited_than_there_is() -> None:
    house = people.wickerlark()
    offer = agreed(house)
    said: list[str] = []

    def told(work: Callable[[], object]) -> Callable[[], None]:
        def run() -> None:
            try:
                with house.enter():
                    work()
            except ValidationError as fault:
                said.extend(fault.messages)

        return run

    assert at_once([told(lambda: issuing.issue_balance(offer)) for _ in range(4)]) == []
    with house.enter():
        balance = Invoice.objects.get(kind="balance")
    half = (balance.total / 2).quantize(D("0.01")) + 1
    notes = [
        told(lambda n=n: issuing.credit(balance.pk, amount=half, words="half", key=f"c-{n}"))  # type: ignore[misc]
        for n in range(4)
    ]
    assert at_once(notes) == []
    with house.enter():
        assert Invoice.objects.filter(credits=balance).count() == 1
        assert list(Invoice.objects.order_by("number").values_list("number", flat=True)) == [1, 2, 3]
    assert len(said) == 6
