"""Every request of the stock room that is answered once under a key, called with arguments from JSON."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from stock.catalogue.items import Material
from stock.counting import stocktake
from stock.holds import holds, transfers
from stock.holds.lines import TransferIn
from stock.ledger import movements
from stock.models import Purpose
from stock.orders import orders
from studio.measures.times import Window

Arguments = Mapping[str, Any]


def call(name: str, arguments: Arguments, key: str) -> Any:
    """Ask under ``key``, as the product does."""
    return CALLS[name](arguments, key)


# Private


def _at(written: str | None) -> datetime | None:
    return datetime.fromisoformat(written) if written else None


def _tentative_until(said: Arguments) -> datetime | None:
    """The first version's samples have it under its former name."""
    return _at(said.get("tentative_until", said.get("pencilled_until")))


def _moment(written: str) -> datetime:
    return datetime.fromisoformat(written)


def _materials(quantities: Mapping[str, int]) -> list[Material]:
    return [Material(code, quantity) for code, quantity in quantities.items()]


def _transfers_in(rows: Any) -> list[TransferIn]:
    return [TransferIn(**{**row, "at": _moment(row["at"])}) for row in rows]


def _window(said: Arguments) -> Window:
    return Window(_moment(said["start"]), _moment(said["end"]))


def _hold(said: Arguments, key: str) -> Any:
    return holds.hold(
        label=said["label"], window=_window(said), needs=_materials(said["needs"]), key=key,
        tentative_until=_tentative_until(said), transfers_in=_transfers_in(said.get("straight", ())),
    )  # fmt: skip


def _change(said: Arguments, key: str) -> Any:
    return holds.change(
        said["hold"], key=key, needs=_materials(said["needs"]) if "needs" in said else None,
        window=_window(said) if "start" in said else None,
        tentative_until=_tentative_until(said), transfers_in=_transfers_in(said.get("straight", ())),
        leaves_at=_at(said.get("leaves_at")), firm=said.get("firm", False),
    )  # fmt: skip


def _set_aside(said: Arguments, key: str) -> Any:
    return holds.set_aside(
        said["item"], said["quantity"], until=_moment(said["until"]), purpose=Purpose(said["purpose"]),
        why=said["why"], key=key,
    )  # fmt: skip


def _count_back(said: Arguments, key: str) -> Any:
    told = {what: _materials(said[what]) for what in ("used", "broken", "lost", "mend")}
    holds.count_back(said["hold"], mended_by=_at(said["mended_by"]), key=key, **told)


def _hand_on(said: Arguments, key: str) -> Any:
    transfers.make_transfer(
        said["giver"], said["taker"], code=said["code"], quantity=said["quantity"], at=_moment(said["at"]),
        key=key, unwashed=said["unwashed"],
    )  # fmt: skip


def _order(said: Arguments, key: str) -> Any:
    wanted = [orders.Wanted(**{**row, "price": Decimal(row["price"])}) for row in said["wanted"]]
    return orders.write_order(said["supplier"], wanted, key=key, note=said["note"])


def _receive_order(said: Arguments, key: str) -> Any:
    came = {int(line): orders.Delivered(**each) for line, each in said["came"].items()}
    return orders.receive_delivery(said["order"], came, key=key, note=said["note"])


def _stocktake(said: Arguments, key: str) -> Any:
    counted = {int(item): number for item, number in said["counted"].items()}
    return stocktake.record_counts(counted, reason=said["reason"], key=key)


CALLS: Final[Mapping[str, Callable[[Arguments, str], Any]]] = {
    "hold": _hold,
    "confirm": lambda said, key: holds.confirm(said["hold"], key=key),
    "change": _change,
    "swap": lambda said, key: holds.swap(said["hold"], out=said["out"], into=said["into"], key=key),
    "release": lambda said, key: holds.release(said["hold"], key=key),
    "set aside": _set_aside,
    "back in service": lambda said, key: holds.back_in_service(said["hold"], key=key),
    "count back": _count_back,
    "hand on": _hand_on,
    "undo handing on": lambda said, key: transfers.undo_transfer(said["handed"], key=key),
    "receive": lambda said, key: movements.receive(
        said["item"], said["pieces"], batch=said["batch"], key=key
    ),
    "count": lambda said, key: movements.count(said["item"], said["counted"], key=key, reason=said["reason"]),
    "stock-take": _stocktake,
    "order": _order,
    "receive order": _receive_order,
    "send back": lambda said, key: orders.send_back(
        said["line"], said["pieces"], key=key, reason=said["reason"]
    ),
}
