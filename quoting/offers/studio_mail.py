"""E-mail to the studio about one of its offers."""

from __future__ import annotations

from collections.abc import Mapping

from quoting.models import Offer
from studio.models import Membership, Studio, entered_studio
from studio.money import amounts
from studio.outbox import mail
from studio.tenancy import links


def post_to_studio(template: str, offer: Offer, key: str, said: Mapping[str, object]) -> None:
    """Write to the studio about ``offer``, once for each ``key`` and address."""
    studio = entered_studio()
    context = {
        "studio": studio.name,
        "client": offer.client_name,
        "event": offer.quote.event.title,
        "reference": offer.reference,
        "total": amounts.written(offer.total, offer.currency, studio.locale),
        "address": links.absolute(links.to("quoting:offer", offer.pk)),
        **said,
    }
    for to in _studio_addresses(studio):
        mail.post(template, to=to, key=f"{key}-{to}"[:110], context=context, reply_to=offer.client_email)


# Private


def _studio_addresses(studio: Studio) -> list[str]:
    """Where the studio reads its post: its own address, else its owners'."""
    if studio.email:
        return [studio.email]
    owners = Membership.objects.filter(role="owner").order_by("pk")
    return list(owners.values_list("person__email", flat=True))
