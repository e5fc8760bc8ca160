"""How many of each item an offer needs: of several versions, of which one is built, as many as the neediest takes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from quoting.offers.document import FrozenBillLine, QuoteDocument, option_keys, studio_part, whole_bills
from stock.catalogue.items import Material, sum_by_code
from stock.catalogue.kit_parts import expand_kits


def most_needed(quote: QuoteDocument) -> dict[str, int]:
    """By code, with every option and kits as their parts. A query for each version that names a kit."""
    return most_of_each(_parts(bill) for bill in whole_bills(quote))


def whole_needs(one: QuoteDocument) -> dict[str, int]:
    """The same of one version alone."""
    return _parts(studio_part(one, option_keys(one)).bill)


def most_of_each(needs: Iterable[Mapping[str, int]]) -> dict[str, int]:
    """The largest quantity of each code.

    >>> most_of_each([{"frame": 1, "cover": 2}, {"frame": 2}])
    {'frame': 2, 'cover': 2}
    """
    most: dict[str, int] = {}
    for each in needs:
        for code, quantity in each.items():
            most[code] = max(most.get(code, 0), quantity)
    return most


# Private


def _parts(bill: Iterable[FrozenBillLine]) -> dict[str, int]:
    return expand_kits(sum_by_code(Material(line.code, line.quantity) for line in bill))
