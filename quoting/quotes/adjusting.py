"""Changes to what a quote costs and how it is paid: rush, discount, prices by hand, deposit and instalments.

Each is one step of the sketch: refused where somebody was faster, and undone like any other.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from django.http import Http404

from quoting.models import Quote, SetPiece
from quoting.pricing import instalments as plan
from quoting.pricing.instalments import HUNDRED, Instalment
from quoting.quotes.sheet import Sheet
from quoting.quotes.steps import BELOW_ZERO, Which, change_quote
from quoting.set_pieces.faults import CannotSketch
from studio.models import entered_studio
from studio.money import amounts


def adjust(
    which: Which,
    *,
    rush_percent: Decimal,
    discount_percent: Decimal,
    discount_amount: Decimal,
    reason: str,
    version: int,
) -> Quote:
    """Rush and discount of the whole quote. A discount may not take off more than there is, and says why."""

    def change(read: Sheet) -> str:
        quote = read.quote
        quote.rush_percent, quote.discount_reason = rush_percent, " ".join(reason.split())
        quote.discount_percent, quote.discount_amount = discount_percent, discount_amount
        if discount_percent and discount_amount:
            raise CannotSketch({"discount_amount": ["Enter a percentage or an amount, not both."]})
        if (discount_percent or discount_amount) and not quote.discount_reason:
            raise CannotSketch({"reason": ["Enter a reason."]})
        quote.full_clean(exclude=["studio", "event", "changed_by"])
        return "rush and discount"

    try:
        return change_quote(which, version, change, in_place=True)
    except CannotSketch as fault:
        if BELOW_ZERO not in fault.faults:
            raise
        at = "discount_amount" if discount_amount else "discount_percent"
        raise CannotSketch({at: fault.faults[BELOW_ZERO]}) from None


def set_by_hand(which: Which, key: str, *, amount: Decimal | None, reason: str, version: int) -> Quote:
    """Set the price of one line of the tape by hand, with a reason; without an amount it is built from costs again.

    ``key`` is the line's on the tape. Raises ``Http404`` for a line that the tape doesn't have.
    """

    def change(read: Sheet) -> str:
        line = next((line for line in read.whole_tape.lines if line.key == key), None)
        if line is None or not key:
            raise Http404
        because = " ".join(reason.split())[:120]
        if amount is not None and amount < 0:
            raise CannotSketch({"amount": ["Enter a price of zero or more. For less, use a discount."]})
        if amount is not None and not because:
            raise CannotSketch({"reason": ["Enter a reason."]})
        owner = read.pieces[line.piece] if "@" in key else read.quote
        kept = dict(owner.by_hand)
        kept.pop(line.part if "@" in key else key, None)
        if amount is not None:
            kept[line.part if "@" in key else key] = {"amount": str(amount), "reason": because}
        owner.by_hand = kept
        if isinstance(owner, SetPiece):
            read.note_altered(owner, "by_hand")
        return f"price of {line.label}"

    return change_quote(which, version, change, in_place=True)


def set_payment(
    which: Which,
    *,
    deposit_percent: Decimal | None,
    instalments: Sequence[Instalment],
    version: int,
    deposit_amount: Decimal | None = None,
    client_view: str = "",
) -> Quote:
    """How this quote is paid and shown: its deposit (neither share nor amount: the studio's own), the instalments that
    follow it by day, and how much of the price its client sees (empty: as the studio shows it)."""

    def change(read: Sheet) -> str:
        quote = read.quote
        quote.deposit_percent, quote.deposit_amount = deposit_percent, deposit_amount
        quote.client_view = client_view
        _refuse_deposit(read)
        deposit = _deposit_share(read)
        ordered = sorted(instalments, key=lambda one: one.due_on)
        if len(ordered) > plan.MOST:
            raise CannotSketch({"deposit_percent": [f"At most {plan.MOST} instalments."]})
        if any(not 0 < one.percent <= HUNDRED for one in ordered):
            raise CannotSketch(
                {"deposit_percent": ["Each instalment must be more than 0 % and at most 100 %."]}
            )
        if deposit + sum((one.percent for one in ordered), Decimal(0)) > HUNDRED:
            raise CannotSketch({"deposit_percent": ["Deposit and instalments come to more than 100 %."]})
        quote.instalments = plan.kept(ordered)
        quote.full_clean(exclude=["studio", "event", "changed_by"])
        return "how it is paid"

    return change_quote(which, version, change, in_place=True)


# Private


def _refuse_deposit(read: Sheet) -> None:
    quote = read.quote
    if quote.deposit_amount is None:
        return
    if quote.deposit_percent is not None:
        raise CannotSketch({"deposit_amount": ["Enter a share or an amount, not both."]})
    total = read.whole_tape.total
    if not 0 <= quote.deposit_amount <= total:
        studio = entered_studio()
        most = amounts.written(total, studio.currency, studio.locale)
        raise CannotSketch({"deposit_amount": [f"Enter an amount from 0 to the total of {most}."]})


def _deposit_share(read: Sheet) -> Decimal:
    """The deposit as a share of the total, in per cent."""
    terms = read.terms
    if terms.deposit_amount is None:
        return terms.deposit_percent
    total = read.whole_tape.total
    return min(terms.deposit_amount / total, Decimal(1)) * HUNDRED if total > 0 else Decimal(0)
