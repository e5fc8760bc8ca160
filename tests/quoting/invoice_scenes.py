"""What tests of invoices start from: an offer that was agreed, and its deposit."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from quoting.invoices.settling import today_at
from quoting.models import Invoice, InvoiceKind, Offer, PaidBy
from quoting.offers import agreeing, offering
from quoting.offers.agreeing import PageShown, Visitor
from quoting.quotes import sheet, sketch
from studio import tenancy
from studio.models import Studio
from studio.people import taxes
from studio.tenancy.rights import Role
from tests.people import House
from tests.quoting import offer_scenes

VISITOR = Visitor("203.0.113.7", "Harbour Browser 7")


def agreed_with_line(house: House, unit_price: Decimal, tax_percent: Decimal, **policy: Any) -> Offer:
    """An offer with one free line under a tax of its own; call it outside of any studio."""
    with house.enter():
        Studio.objects.filter(pk=house.studio.pk).update(**policy)
    with house.enter():
        quote = offer_scenes.quote(house)
        own = taxes.add_tax(name="Hire tax", percent=tax_percent, is_default=False)
        quote = sketch.add_free_line(
            quote.pk, label="Plinth", quantity=Decimal(1), unit_price=unit_price, tax_id=own.pk,
            version=quote.version,
        )  # fmt: skip
        offer = offering.offer(sheet.find_quote(quote.pk)).offer
    return say_yes(house, offer)


def agreed(house: House, *, mixed: bool = False, **policy: Any) -> Offer:
    """An offer that its client agreed to; ``policy`` goes into the studio's profile. Call it outside of any studio."""
    if policy:
        with house.enter():
            Studio.objects.filter(pk=house.studio.pk).update(**policy)
    with house.enter():
        quote = offer_scenes.quote(house)
        if mixed:
            reduced = taxes.add_tax(name="Reduced", percent=Decimal(7), is_default=False)
            sketch.add_free_line(
                quote.pk, label="Flowers", quantity=Decimal(3), unit_price=Decimal("33.33"), tax_id=reduced.pk,
                version=quote.version,
            )  # fmt: skip
            quote = sheet.find_quote(quote.pk)
        offer = offering.offer(quote).offer
    return say_yes(house, offer)


def say_yes(house: House, offer: Offer) -> Offer:
    """The client agrees."""
    with tenancy.entered(house.studio.pk, slug=house.studio.slug, role=Role.CLIENT):
        shown = PageShown(version=offer.version, total=str(offer.total), digest=offer.digest)
        agreeing.agree(offer.pk, shown=shown, name="Ada Adeyo", ticked=True, visitor=VISITOR)
    with house.enter():
        return Offer.objects.select_related("quote__event").get(pk=offer.pk)


def deposit_of(offer: Offer) -> Invoice:
    """Its deposit's invoice; call it inside the studio."""
    return Invoice.objects.get(offer=offer, kind=InvoiceKind.DEPOSIT)


def pay(invoice: Invoice, amount: Decimal | None = None, *, key: str = "pay-1") -> Any:
    """All of it, by transfer, today; call it inside the studio."""
    from quoting.invoices import payments

    studio = Studio.objects.get()
    return payments.record(
        invoice.pk, amount=invoice.total if amount is None else amount, received_on=today_at(studio),
        paid_by=PaidBy.TRANSFER, key=key,
    )  # fmt: skip
