"""The lines of holds: written beside those of every other hold, so that nothing is promised twice.

Whoever writes a line of an item has the item's row. What goes straight from one hold to another, and the hold at its
other end, are read only once that row is locked: what is read is then what the one before has left.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet, Sum
from django.utils import timezone

from stock.catalogue.items import MAX_QUANTITY, Material
from stock.holds.answers import CannotHold, HoldAnswer, NoSuchHold, NotFree, Shortfall
from stock.holds.availability import Available, counting, stand
from stock.holds.occupancy import Stay, excess
from stock.ledger import movements
from stock.models import HandedOn, Hold, HoldLine, HoldState, Item, Nature, Purpose
from stock.models.hold import STANDING
from studio.measures.times import Window


@dataclass(frozen=True, slots=True)
class Straight:
    """So many pieces in all of a code that are to come straight from another hold, which lets them go at ``at``."""

    giver_id: int
    code: str
    quantity: int
    at: datetime
    unwashed: bool = False
    """Whether the asker knows that nobody cleans or mends them on the way."""


@dataclass(frozen=True, slots=True)
class _Part:
    """What one hold keeps of one item in all, and what of it goes straight on or comes straight from elsewhere."""

    hold: Hold
    item: Item
    total: int
    links: tuple[HandedOn, ...]

    def lines(self) -> list[HoldLine]:
        """Its lines: one for the pieces that leave the house and come home, one for each link."""
        home = self.total - sum(link.quantity for link in self.links)
        back = self.hold.ends_at + self.item.turnaround
        lines = [self._line(home, self.hold.starts_at, back)] if home else []
        for link in self.links:
            if link.giver_id == self.hold.pk:
                lines.append(self._line(link.quantity, self.hold.starts_at, link.at, link))
            else:
                lines.append(self._line(link.quantity, link.at, back, link))
        return lines

    def _line(self, quantity: int, start: datetime, end: datetime, link: HandedOn | None = None) -> HoldLine:
        return HoldLine(
            hold=self.hold,
            item=self.item,
            quantity=quantity,
            busy_from=start,
            busy_until=end,
            handed_on=link,
            standing=self.hold.state in STANDING,
        )


def standing(hold_id: int) -> Hold:
    """The hold, locked; refused if it is over."""
    return standing_together([hold_id])[hold_id]


def standing_together(hold_ids: Iterable[int]) -> dict[int, Hold]:
    """The holds, locked in id order; refused if one of them is over."""
    wanted = set(hold_ids)
    rows = Hold.objects.filter(pk__in=wanted).order_by("pk").select_for_update(no_key=True)
    found = {row.pk: row for row in rows}
    if wanted - set(found):
        raise NoSuchHold("There is no such hold.")
    for row in found.values():
        if row.state not in STANDING:
            raise NoSuchHold(f"This hold is over: {row.get_state_display()}.")
    return found


def quantities_of(found: Hold) -> dict[str, int]:
    """How many of each code the hold keeps, in the order of items' ids. One query."""
    rows = found.lines.order_by("item_id").values_list("item_id", "item__code").annotate(Sum("quantity"))
    return {code: quantity for _, code, quantity in rows}


def handed(*hold_ids: int) -> QuerySet[HandedOn]:
    """What goes straight on from these holds or comes straight to them, with both holds and the item."""
    links = HandedOn.objects.select_related("giver", "taker", "item__colour")
    return links.filter(Q(giver_id__in=hold_ids) | Q(taker_id__in=hold_ids))


def kept(
    made: Hold,
    quantities: Mapping[str, int],
    *,
    straight: Sequence[Straight] = (),
    leaves_at: datetime | None = None,
    is_new: bool = False,
) -> HoldAnswer:
    """Lock the items, look at what is free beside this hold, and write its lines, or refuse.

    ``straight`` comes straight from other holds, which are locked here; whoever locks ``made`` must have locked them
    with it. ``leaves_at`` is the moment from now on at which whatever goes straight on leaves this hold.
    """
    givers = standing_together(each.giver_id for each in straight) if straight else {}
    items = movements.locked_by_code(quantities)
    links = [] if is_new else list(handed(made.pk))
    changed = _asked(made, items, links, straight, givers) + _moved(made, links, leaves_at)
    totals = {items[code].pk: quantity for code, quantity in quantities.items() if code in items}
    _refuse_nonsense(made, totals, links)
    parts = [
        _Part(made, item, quantities[code], tuple(link for link in links if link.item_id == item.pk))
        for code, item in items.items()
    ]
    apart = [part for part in parts if part.links] + _at_other_ends(made, links, changed)
    _refuse_crowded(made, apart)

    answers = stand(items, dict(quantities), Window(made.starts_at, made.ends_at), besides=made.pk)
    by_itself = {part.item.code for part in parts if part.links}
    lacking = [answer for answer in answers if answer.item and answer.code not in by_itself and answer.short]
    refused = [
        _shortfall(answer)
        for answer in answers
        if answer.item and (answer.item.retired_at or (answer.item.is_reusable and answer in lacking))
    ]
    refused += _overlaps(apart)
    if refused:
        raise NotFree(refused)
    for link in changed:
        link.save()
    _write(made, [part for part in parts if not part.links])
    _write_apart(apart)
    return HoldAnswer(
        hold_id=made.pk,
        state=HoldState(made.state),
        lines=tuple(Material(code, quantity) for code, quantity in quantities.items() if code in items),
        short=tuple(_shortfall(answer) for answer in lacking),
        unknown=tuple(answer.code for answer in answers if answer.is_unknown),
    )


def end(found: Hold, state: HoldState) -> None:
    """End the hold. What was to go straight on, or to come straight to it, goes by way of the shelf again; what went on
    before a count stays with whoever has it now.

    Raises :class:`CannotHold` where the hold at the other end then couldn't have its pieces.
    """
    links = list(handed(found.pk))
    if links:
        movements.lock(link.item_id for link in links)
        links = list(handed(found.pk))
    found.state, found.pencilled_until = state, None
    if state == HoldState.COUNTED_BACK:
        _gone_on_by_now(found, links)
    elif links:
        part_with(links, ended=found)
    found.save(update_fields=["state", "pencilled_until"])
    HoldLine.objects.filter(hold=found).update(standing=False)


def part_with(links: Sequence[HandedOn], *, ended: Hold | None = None) -> None:
    """Undo ``links``, whose holds and items are locked, but for the partners of a hold that ``ended``: the pieces go
    home from the one and leave the house for the other. Raises :class:`CannotHold` where they aren't free for that."""
    holds = {hold.pk: hold for link in links for hold in (link.giver, link.taker)}
    if ended:
        holds[ended.pk] = ended
    parts = _parts(holds, {link.item_id: link.item for link in links}, gone={link.pk for link in links})
    if lacking := _overlaps(parts):
        names = {lack.code for lack in lacking}
        raise CannotHold(
            [
                f"{link.quantity} × {link.item.name} can’t go home from {link.giver.label} in time for"
                f" {link.taker.label}: then {'they are' if link.quantity > 1 else 'it is'} promised elsewhere."
                for link in links
                if link.item.code in names
            ]
        )
    _write_apart(parts)
    HandedOn.objects.filter(pk__in=[link.pk for link in links]).delete()


# --- Private ---


def _asked(
    made: Hold,
    items: Mapping[str, Item],
    links: list[HandedOn],
    straight: Sequence[Straight],
    givers: Mapping[int, Hold],
) -> list[HandedOn]:
    """What comes straight from other holds by now: put among ``links``, and given back."""
    changed = []
    for each in straight:
        item, giver = items.get(each.code), givers[each.giver_id]
        if item is None:
            raise CannotHold(f"Not in the catalogue: {each.code}.")
        _refuse_unfit(made, giver, item, each)
        link = next((link for link in links if (link.giver_id, link.item_id) == (giver.pk, item.pk)), None)
        if link is None:
            link = HandedOn(giver=giver, taker=made, item=item)
            links.append(link)
        link.quantity, link.at = each.quantity, each.at
        changed.append(link)
    return changed


def _refuse_unfit(made: Hold, giver: Hold, item: Item, asked: Straight) -> None:
    if not item.is_reusable:
        raise CannotHold(f"{item.name} is used up. Only what comes back can go straight on.")
    if item.turnaround and not asked.unwashed:
        raise CannotHold(f"{item.name} would go on unwashed. Say that it may.")
    if giver.pk == made.pk:
        raise CannotHold("Pieces go straight on to another job, not to the same.")
    if giver.purpose != Purpose.JOB or made.purpose != Purpose.JOB:
        raise CannotHold(f"{item.name} is in the wash or being mended, not out on a job.")
    if giver.state != HoldState.HELD or made.state != HoldState.HELD:
        raise CannotHold("Pieces go straight on only between jobs that are both promised, not pencilled.")
    if not 1 <= asked.quantity <= MAX_QUANTITY:
        raise CannotHold(f"{item.name}: write how many, from 1 on.")


def _moved(made: Hold, links: Iterable[HandedOn], leaves_at: datetime | None) -> list[HandedOn]:
    """What goes straight on from ``made`` to holds that stand, with its new moment."""
    if leaves_at is None:
        return []
    moved = [link for link in links if link.giver_id == made.pk and link.taker.state in STANDING]
    for link in moved:
        link.at = leaves_at
    return moved


def _refuse_nonsense(made: Hold, totals: Mapping[int, int], links: Sequence[HandedOn]) -> None:
    """Refuse what a hold with other quantities or another window can't hand on or be handed."""
    faults = []
    for link in links:
        words = f"{link.quantity} × {link.item.name}, straight from {link.giver.label} to {link.taker.label}"
        giver = made if link.giver_id == made.pk else link.giver
        taker = made if link.taker_id == made.pk else link.taker
        if giver.state in STANDING and not giver.starts_at < link.at <= giver.ends_at:
            faults.append(f"{words}: {giver.label} hasn’t got it at that moment. Undo that first.")
        elif link.at >= taker.ends_at:
            faults.append(f"{words}: {taker.label} is over by then. Undo that first.")
    for item_id in {link.item_id for link in links}:
        mine = [link for link in links if link.item_id == item_id]
        if sum(link.quantity for link in mine) > totals.get(item_id, 0):
            faults.append(_too_many(made, mine, totals.get(item_id, 0)))
    if faults:
        raise CannotHold(faults)


def _refuse_crowded(made: Hold, parts: Iterable[_Part]) -> None:
    """Refuse what the hold at the other end hasn't got: what came straight to it goes home from there."""
    for part in parts:
        if part.hold is not made and sum(link.quantity for link in part.links) > part.total:
            raise CannotHold(_too_many(part.hold, part.links, part.total))


def _too_many(hold: Hold, links: Sequence[HandedOn], total: int) -> str:
    moved = sum(link.quantity for link in links)
    return (
        f"{hold.label} keeps {total} × {links[0].item.name}, and {moved} would go straight on from there or come"
        " straight to it. A piece is handed on once; undo that first, or fewer."
    )


def _at_other_ends(made: Hold, links: Sequence[HandedOn], changed: Sequence[HandedOn]) -> list[_Part]:
    """What the holds at the other ends of changed links keep of those items."""
    others = {hold.pk: hold for link in changed for hold in (link.giver, link.taker) if hold.pk != made.pk}
    items = {link.item_id: link.item for link in changed}
    return _parts(others, items, links=links) if others else []


def _parts(
    holds: Mapping[int, Hold],
    items: Mapping[int, Item],
    *,
    links: Sequence[HandedOn] = (),
    gone: Iterable[int] = (),
) -> list[_Part]:
    """What ``holds`` keep of ``items``, with ``links`` as they are to be and without those that are ``gone``. Two
    queries."""
    sums = HoldLine.objects.filter(hold_id__in=holds, item_id__in=items).order_by()
    totals = sums.values_list("hold_id", "item_id").annotate(Sum("quantity"))
    gone, mine = set(gone), {link.pk: link for link in links if link.pk}
    theirs = [mine.get(link.pk, link) for link in handed(*holds) if link.pk not in gone]
    theirs += [link for link in links if not link.pk]
    found = [
        _Part(
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
            raise CannotHold(f"{link.giver.label} has no {link.item.name} to let go.")
    return found


def _overlaps(parts: Sequence[_Part]) -> list[Shortfall]:
    """What would be promised past what there is at a moment at which it isn't so already. Two queries."""
    if not parts:
        return []
    now = timezone.now()
    wanted = [(part, line) for part in parts for line in part.lines() if line.standing]
    ids = {part.item.pk for part in parts}
    since = min([now, *(line.busy_from for _, line in wanted)])
    there = counting(now).filter(item_id__in=ids, busy_until__gt=since)
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


def _write(made: Hold, parts: Sequence[_Part]) -> None:
    """Write the lines of what goes and comes by way of the shelf; every other line of the hold goes."""
    made.lines.exclude(item__in=[part.item for part in parts], handed_on__isnull=True).delete()
    HoldLine.objects.bulk_create(
        [line for part in parts for line in part.lines()],
        update_conflicts=True,
        unique_fields=["studio", "hold", "item", "handed_on"],
        update_fields=["quantity", "busy_from", "busy_until"],
    )


def _write_apart(parts: Sequence[_Part]) -> None:
    """Write the lines of holds for items of which some go straight on, in place of those that are there."""
    for part in parts:
        HoldLine.objects.filter(hold=part.hold, item=part.item).delete()
    HoldLine.objects.bulk_create([line for part in parts for line in part.lines()])


def _gone_on_by_now(found: Hold, links: Iterable[HandedOn]) -> None:
    """What goes straight on from a hold that is counted back sooner than planned has gone on by now."""
    now = timezone.now()
    for link in links:
        if link.giver_id == found.pk and link.taker.state in STANDING and found.starts_at < now < link.at:
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
