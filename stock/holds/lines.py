"""The lines of holds, written with regard to all other holds, so that nothing is reserved twice.

Writing a line of an item needs the lock of the item's row. Transfers and the holds at their other ends are read only
under that lock, so they are up to date.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet, Sum
from django.utils import timezone

from stock.catalogue.items import MAX_QUANTITY, Material
from stock.holds.answers import CannotHold, HoldAnswer, NoSuchHold, NotFree, Shortfall
from stock.holds.availability import Available, active_lines, check_items
from stock.holds.occupancy import Stay, excess
from stock.ledger import movements
from stock.models import AgreedTransfer, Hold, HoldLine, HoldState, Item, Nature, Purpose
from stock.models.hold import ACTIVE_STATES
from studio.measures.times import Window


@dataclass(frozen=True, slots=True)
class TransferIn:
    """A requested transfer: a total quantity of a code that another hold gives at ``at``."""

    giver_id: int
    code: str
    quantity: int
    at: datetime
    unwashed: bool = False
    """Whether the caller accepts that they aren't cleaned in between."""


@dataclass(frozen=True, slots=True)
class _HeldItem:
    """One item on one hold: its total quantity, and its transfers."""

    hold: Hold
    item: Item
    total: int
    links: tuple[AgreedTransfer, ...]

    def lines(self) -> list[HoldLine]:
        """Its lines: one for the pieces that leave and return to the studio, one for each transfer."""
        home = self.total - sum(link.quantity for link in self.links)
        back = self.hold.ends_at + self.item.turnaround
        lines = [self._line(home, self.hold.starts_at, back)] if home else []
        for link in self.links:
            if link.giver_id == self.hold.pk:
                lines.append(self._line(link.quantity, self.hold.starts_at, link.at, link))
            else:
                lines.append(self._line(link.quantity, link.at, back, link))
        return lines

    def _line(
        self, quantity: int, start: datetime, end: datetime, link: AgreedTransfer | None = None
    ) -> HoldLine:
        return HoldLine(
            hold=self.hold,
            item=self.item,
            quantity=quantity,
            busy_from=start,
            busy_until=end,
            handed_on=link,
            standing=self.hold.state in ACTIVE_STATES,
        )


def lock_active_hold(hold_id: int) -> Hold:
    """Lock the hold; refused if it is over."""
    return lock_active_holds([hold_id])[hold_id]


def lock_active_holds(hold_ids: Iterable[int]) -> dict[int, Hold]:
    """Lock the holds in id order; refused if one of them is over."""
    wanted = set(hold_ids)
    rows = Hold.objects.filter(pk__in=wanted).order_by("pk").select_for_update(no_key=True)
    found = {row.pk: row for row in rows}
    if wanted - set(found):
        raise NoSuchHold("There is no such hold.")
    for row in found.values():
        if row.state not in ACTIVE_STATES:
            raise NoSuchHold(f"This hold is over: {row.get_state_display()}.")
    return found


def find_quantities(found: Hold) -> dict[str, int]:
    """The quantity of each code on the hold, ordered by item id. One query."""
    rows = found.lines.order_by("item_id").values_list("item_id", "item__code").annotate(Sum("quantity"))
    return {code: quantity for _, code, quantity in rows}


def find_transfers(*hold_ids: int) -> QuerySet[AgreedTransfer]:
    """The transfers from or to these holds, with both holds and the item."""
    links = AgreedTransfer.objects.select_related("giver", "taker", "item__colour")
    return links.filter(Q(giver_id__in=hold_ids) | Q(taker_id__in=hold_ids))


def write_lines(
    made: Hold,
    quantities: Mapping[str, int],
    *,
    transfers_in: Sequence[TransferIn] = (),
    leaves_at: datetime | None = None,
    is_new: bool = False,
    only: Collection[str] | None = None,
) -> HoldAnswer:
    """Lock the items, check what is available beside this hold, and write its lines, or refuse.

    The holds that give ``transfers_in`` are locked here; a caller that locks ``made`` must lock them together with it.
    ``leaves_at`` is the new moment at which transfers to other holds leave this hold. ``only`` names the codes that
    change where the rest of the hold stays as it is: what was lost of the rest since refuses nothing.
    """
    givers = lock_active_holds(each.giver_id for each in transfers_in) if transfers_in else {}
    items = movements.lock_by_code(quantities)
    links = [] if is_new else list(find_transfers(made.pk))
    changed = _requested_transfers(made, items, links, transfers_in, givers) + _moved_transfers(
        made, links, leaves_at
    )
    totals = {items[code].pk: quantity for code, quantity in quantities.items() if code in items}
    _check_times_and_totals(made, totals, links)
    parts = [
        _HeldItem(made, item, quantities[code], tuple(link for link in links if link.item_id == item.pk))
        for code, item in items.items()
    ]
    apart = [part for part in parts if part.links] + _items_at_other_ends(made, links, changed)
    _check_other_ends(made, apart)

    answers = check_items(items, dict(quantities), Window(made.starts_at, made.ends_at), besides=made.pk)
    by_itself = {part.item.code for part in parts if part.links}
    lacking = [answer for answer in answers if answer.item and answer.code not in by_itself and answer.short]
    refused = [
        _shortfall(answer)
        for answer in answers
        if answer.item
        and (only is None or answer.code in only)
        and (answer.item.retired_at or (answer.item.is_reusable and answer in lacking))
    ]
    refused += _new_shortfalls(apart)
    if refused:
        raise NotFree(refused)
    for link in changed:
        link.save()
    _write(made, [part for part in parts if not part.links])
    _rewrite_lines(apart)
    return HoldAnswer(
        hold_id=made.pk,
        state=HoldState(made.state),
        lines=tuple(Material(code, quantity) for code, quantity in quantities.items() if code in items),
        short=tuple(_shortfall(answer) for answer in lacking if answer.item and not answer.item.is_reusable),
        unknown=tuple(answer.code for answer in answers if answer.is_unknown),
    )


def end_hold(found: Hold, state: HoldState) -> None:
    """End the hold. Its transfers are undone, so the pieces come back to the studio in between; transfers that happened
    before a count stay with the hold that has the pieces.

    Raises :class:`CannotHold` if the hold at the other end couldn't have its pieces then.
    """
    links = list(find_transfers(found.pk))
    if links:
        movements.lock_items(link.item_id for link in links)
        links = list(find_transfers(found.pk))
    found.state, found.tentative_until = state, None
    if state == HoldState.COUNTED_BACK:
        _finish_transfers_now(found, links)
    elif links:
        undo_transfers(links, ended=found)
    found.save(update_fields=["state", "tentative_until"])
    HoldLine.objects.filter(hold=found).update(standing=False)


def undo_transfers(links: Sequence[AgreedTransfer], *, ended: Hold | None = None) -> None:
    """Undo the transfers ``links``; their holds and items are locked, except the partners of a hold that ``ended``.
    The pieces return to the studio in between. Raises :class:`CannotHold` if they aren't available for that."""
    holds = {hold.pk: hold for link in links for hold in (link.giver, link.taker)}
    if ended:
        holds[ended.pk] = ended
    parts = _held_items(holds, {link.item_id: link.item for link in links}, gone={link.pk for link in links})
    if lacking := _new_shortfalls(parts):
        names = {lack.code for lack in lacking}
        raise CannotHold(
            [
                f"{link.quantity} × {link.item.name} can’t go home from {link.giver.label} in time for"
                f" {link.taker.label}: {'they are' if link.quantity > 1 else 'it is'} reserved elsewhere then."
                for link in links
                if link.item.code in names
            ]
        )
    _rewrite_lines(parts)
    AgreedTransfer.objects.filter(pk__in=[link.pk for link in links]).delete()


# --- Private ---


def _requested_transfers(
    made: Hold,
    items: Mapping[str, Item],
    links: list[AgreedTransfer],
    transfers_in: Sequence[TransferIn],
    givers: Mapping[int, Hold],
) -> list[AgreedTransfer]:
    """Add or change the requested transfers among ``links``, and return them."""
    changed = []
    for each in transfers_in:
        item, giver = items.get(each.code), givers[each.giver_id]
        if item is None:
            raise CannotHold(f"There is no item {each.code}.")
        _check_transfer(made, giver, item, each)
        link = next((link for link in links if (link.giver_id, link.item_id) == (giver.pk, item.pk)), None)
        if link is None:
            link = AgreedTransfer(giver=giver, taker=made, item=item)
            links.append(link)
        link.quantity, link.at = each.quantity, each.at
        changed.append(link)
    return changed


def _check_transfer(made: Hold, giver: Hold, item: Item, asked: TransferIn) -> None:
    if not item.is_reusable:
        raise CannotHold(f"{item.name} is a consumable. Only reusable items can be transferred.")
    if item.turnaround and not asked.unwashed:
        raise CannotHold(f"{item.name} would go on unwashed. Confirm that this is all right.")
    if giver.pk == made.pk:
        raise CannotHold("A transfer goes to another event, not to the same one.")
    if giver.purpose != Purpose.JOB or made.purpose != Purpose.JOB:
        raise CannotHold(f"{item.name} is in cleaning or repair, not out on an event.")
    if giver.state != HoldState.HELD or made.state != HoldState.HELD:
        raise CannotHold("Transfers are only possible between two confirmed events, not tentative ones.")
    if not 1 <= asked.quantity <= MAX_QUANTITY:
        raise CannotHold(f"{item.name}: enter a quantity of at least 1.")


def _moved_transfers(
    made: Hold, links: Iterable[AgreedTransfer], leaves_at: datetime | None
) -> list[AgreedTransfer]:
    """The transfers from ``made`` to active holds, at their new moment."""
    if leaves_at is None:
        return []
    moved = [link for link in links if link.giver_id == made.pk and link.taker.state in ACTIVE_STATES]
    for link in moved:
        link.at = leaves_at
    return moved


def _check_times_and_totals(made: Hold, totals: Mapping[int, int], links: Sequence[AgreedTransfer]) -> None:
    """Refuse quantities or a window of the hold that its transfers don't allow."""
    faults = []
    for link in links:
        words = f"{link.quantity} × {link.item.name}, from {link.giver.label} directly to {link.taker.label}"
        giver = made if link.giver_id == made.pk else link.giver
        taker = made if link.taker_id == made.pk else link.taker
        if giver.state in ACTIVE_STATES and not giver.starts_at < link.at <= giver.ends_at:
            faults.append(f"{words}: {giver.label} doesn’t have it at that moment. Undo the transfer first.")
        elif link.at >= taker.ends_at:
            faults.append(f"{words}: {taker.label} is over by then. Undo the transfer first.")
    for item_id in {link.item_id for link in links}:
        mine = [link for link in links if link.item_id == item_id]
        if sum(link.quantity for link in mine) > totals.get(item_id, 0):
            faults.append(_too_many_words(made, mine, totals.get(item_id, 0)))
    if faults:
        raise CannotHold(faults)


def _check_other_ends(made: Hold, parts: Iterable[_HeldItem]) -> None:
    """Refuse more transfers than the hold at the other end has pieces for: a piece is transferred once."""
    for part in parts:
        if part.hold is not made and sum(link.quantity for link in part.links) > part.total:
            raise CannotHold(_too_many_words(part.hold, part.links, part.total))


def _too_many_words(hold: Hold, links: Sequence[AgreedTransfer], total: int) -> str:
    moved = sum(link.quantity for link in links)
    return (
        f"{hold.label} has {total} × {links[0].item.name}, but {moved} would be transferred from or to it."
        " A piece can be transferred only once. Undo the other transfer first, or transfer fewer."
    )


def _items_at_other_ends(
    made: Hold, links: Sequence[AgreedTransfer], changed: Sequence[AgreedTransfer]
) -> list[_HeldItem]:
    """The items of changed transfers on the holds at their other ends."""
    others = {hold.pk: hold for link in changed for hold in (link.giver, link.taker) if hold.pk != made.pk}
    items = {link.item_id: link.item for link in changed}
    return _held_items(others, items, links=links) if others else []


def _held_items(
    holds: Mapping[int, Hold],
    items: Mapping[int, Item],
    *,
    links: Sequence[AgreedTransfer] = (),
    gone: Iterable[int] = (),
) -> list[_HeldItem]:
    """The ``items`` on ``holds``, with the new ``links`` and without those that are ``gone``. Two queries."""
    sums = HoldLine.objects.filter(hold_id__in=holds, item_id__in=items).order_by()
    totals = sums.values_list("hold_id", "item_id").annotate(Sum("quantity"))
    gone, mine = set(gone), {link.pk: link for link in links if link.pk}
    theirs = [mine.get(link.pk, link) for link in find_transfers(*holds) if link.pk not in gone]
    theirs += [link for link in links if not link.pk]
    found = [
        _HeldItem(
            holds[hold_id],
            items[item_id],
            total,
            tuple(
                link
                for link in theirs
                if link.item_id == item_id and hold_id in (link.giver_id, link.taker_id)
            ),
        )
        for hold_id, item_id, total in totals
    ]
    there = {(part.hold.pk, part.item.pk) for part in found}
    for link in links:
        if not link.pk and link.giver_id in holds and (link.giver_id, link.item_id) not in there:
            raise CannotHold(f"{link.giver.label} has no {link.item.name} to transfer.")
    return found


def _new_shortfalls(parts: Sequence[_HeldItem]) -> list[Shortfall]:
    """The shortfalls at moments that aren't short already. Two queries."""
    if not parts:
        return []
    now = timezone.now()
    wanted = [(part, line) for part in parts for line in part.lines() if line.standing]
    ids = {part.item.pk for part in parts}
    since = min([now, *(line.busy_from for _, line in wanted)])
    there = active_lines(now).filter(item_id__in=ids, busy_until__gt=since)
    rows = there.values_list("item_id", "hold_id", "busy_from", "busy_until", "quantity")
    owned = movements.balances(ids)
    before: dict[int, list[Stay]] = {pk: [] for pk in ids}
    after: dict[int, list[Stay]] = {pk: [] for pk in ids}
    touched = {(part.hold.pk, part.item.pk) for part in parts}
    for item_id, hold_id, start, until, quantity in rows:
        before[item_id].append(Stay(start, until, quantity))
        if (hold_id, item_id) not in touched:
            after[item_id].append(Stay(start, until, quantity))
    for part, line in wanted:
        after[part.item.pk].append(Stay(line.busy_from, line.busy_until, line.quantity))
    found: dict[int, Shortfall] = {}
    for part in parts:
        over = excess(before[part.item.pk], after[part.item.pk], owned=owned[part.item.pk])
        if over and part.item.pk not in found:
            free = max(0, part.total - over)
            found[part.item.pk] = Shortfall(part.item.code, part.item.name, part.total, free)
    return list(found.values())


def _write(made: Hold, parts: Sequence[_HeldItem]) -> None:
    """Write the lines without transfers; delete every other line of the hold."""
    made.lines.exclude(item__in=[part.item for part in parts], handed_on__isnull=True).delete()
    HoldLine.objects.bulk_create(
        [line for part in parts for line in part.lines()],
        update_conflicts=True,
        unique_fields=["studio", "hold", "item", "handed_on"],
        update_fields=["quantity", "busy_from", "busy_until"],
    )


def _rewrite_lines(parts: Sequence[_HeldItem]) -> None:
    """Replace the lines of items that have transfers."""
    for part in parts:
        HoldLine.objects.filter(hold=part.hold, item=part.item).delete()
    HoldLine.objects.bulk_create([line for part in parts for line in part.lines()])


def _finish_transfers_now(found: Hold, links: Iterable[AgreedTransfer]) -> None:
    """Move the planned transfers of a hold that is counted back early to this moment."""
    now = timezone.now()
    for link in links:
        if (
            link.giver_id == found.pk
            and link.taker.state in ACTIVE_STATES
            and found.starts_at < now < link.at
        ):
            link.at = now
            link.save(update_fields=["at"])
            HoldLine.objects.filter(handed_on=link, hold=found).update(busy_until=now)
            HoldLine.objects.filter(handed_on=link).exclude(hold=found).update(busy_from=now)


def _shortfall(answer: Available) -> Shortfall:
    assert answer.item is not None
    return Shortfall(
        code=answer.code,
        name=answer.item.name,
        needed=answer.needed,
        free=answer.free,
        back_at=answer.back_at if answer.item.nature == Nature.REUSABLE else None,
        retired=answer.item.retired_at is not None,
    )
