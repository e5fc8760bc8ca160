"""What the page shows of a fitting: cards of versions, the proposal from the shelf, and what to say of them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.utils.text import slugify

from quoting.craft.change.room_check import SiteFit
from quoting.craft.design.records import USUAL_FULLNESS
from quoting.models import SetPiece
from quoting.quotes.sheet import Sheet
from quoting.set_pieces.size_bench import Bench, card, own_ids
from quoting.suggestions.budget import Fitted, Version
from quoting.suggestions.fitting import FitWork, RoomAsked
from quoting.suggestions.from_shelf import Answer, Swap
from studio.measures import lengths
from studio.models import Studio
from studio.models.spelling import spelled
from studio.money import amounts
from studio.outbox.long_work import Work
from studio.tenancy import links


@dataclass(frozen=True, slots=True)
class VersionCard:
    """One version, written. ``fields`` are what its button sends."""

    name: str
    bench: Bench
    size: str
    fullness: str
    balloons: int
    total: str
    left: str
    differs: str
    fields: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ShelfCard:
    """The proposal from the shelf, written."""

    bench: Bench
    swaps: tuple[Swap, ...]
    total: str
    saves: str
    still_short: str


@dataclass(frozen=True, slots=True)
class Waiting:
    """A fitting that is being worked out: how far it is, where to ask for it again, and where to stop it."""

    percent: int
    result: str
    stop: str


def waiting(quote_id: int, kind: str, name: str, work: FitWork) -> Waiting:
    """What the page shows until the worker is done."""
    return Waiting(
        work.percent,
        links.to("quoting:fit-result", quote_id, kind, name),
        links.to("quoting:fit-stop", quote_id, kind, name),
    )


def nothing_words(work: FitWork | Work[RoomAsked, SiteFit]) -> str:
    """Why there is no answer; empty where there is one, or will be."""
    if work.is_stopped:
        return "Stopped. Nothing was changed."
    if work.is_lost:
        return "No result came in time: the server is busy. Nothing was changed. Try again."
    return work.refusal


def version_cards(found: Fitted, piece: SetPiece, studio: Studio) -> list[VersionCard]:
    """The versions as cards."""
    return [_version_card(version, found, piece, studio) for version in found.versions]


def budget_words(found: Fitted, studio: Studio) -> str:
    """What to say above the cards; plainly where the budget buys none."""
    budget = amounts.written(found.budget, studio.currency, studio.locale)
    if not found.versions and found.present <= found.budget:
        now = amounts.written(found.present, studio.currency, studio.locale)
        return f"{budget} covers the piece as it is, at {now}. This design gets neither fuller nor wider."
    if not found.versions:
        least = amounts.written(found.least, studio.currency, studio.locale)
        return (
            f"{budget} buys no version of this design: the least that was found comes to {least}. "
            "Another design, fewer hours or a shorter way would have to help."
        )
    now = amounts.written(found.present, studio.currency, studio.locale)
    return f"What {budget} buys, including tax and everything else in this quote. The quote is at {now} now."


def shelf_card(found: Answer, read: Sheet, *, sees_costs: bool) -> ShelfCard | None:
    """The proposal as a card; none where there is none."""
    proposal, studio = found.proposal, read.studio
    if proposal is None:
        return None
    bags = f"{proposal.bags} fewer bag{'' if proposal.bags == 1 else 's'} to buy" if proposal.bags > 0 else ""
    if bags and sees_costs and proposal.saved > 0:
        bags += f", {amounts.written(proposal.saved, studio.currency, studio.locale)}"
    return ShelfCard(
        card(own_ids(proposal.picture, "proposal-"), proposal.takeoff, units=studio.units),
        proposal.swaps,
        amounts.written(proposal.total, studio.currency, studio.locale),
        bags,
        ", ".join(proposal.still_short),
    )


def shelf_words(found: Answer) -> str:
    """What to say above the proposal, or instead of it."""
    if not found.short:
        return spelled("All of its latex is available that day. No color needs replacing.")
    short = ", ".join(name[:1].lower() + name[1:] for name in found.short)
    if found.proposal is None:
        return f"Short that day: {short}. " + spelled("No available color is close enough to replace it.")
    return f"Short that day: {short}. " + spelled("Here is the same piece in colors that are available:")


# Private


def _version_card(version: Version, found: Fitted, piece: SetPiece, studio: Studio) -> VersionCard:
    takeoff, change = version.takeoff, version.change
    size = " × ".join(lengths.written(side, studio.units) for side in (takeoff.width_m, takeoff.height_m))
    left = found.budget - version.total
    fields: dict[str, object] = {
        "fullness": change.fullness, "width_m": change.width_m, "height_m": change.height_m,
        "bare": "on" if change.bare else None,
    }  # fmt: skip
    return VersionCard(
        name=version.name,
        bench=card(own_ids(version.picture, f"{slugify(version.name)}-"), takeoff, units=studio.units),
        size=size,
        fullness=f"{_fullness(version, piece)} % full",
        balloons=takeoff.balloons,
        total=amounts.written(version.total, studio.currency, studio.locale),
        left=amounts.written(left, studio.currency, studio.locale) if left else "",
        differs=_differs(version, piece, studio),
        fields=tuple((name, str(value)) for name, value in fields.items() if value is not None),
    )


def _fullness(version: Version, piece: SetPiece) -> int:
    garlands = piece.design.get("garlands") or [{}]
    return version.change.fullness or round(100 * garlands[0].get("fullness", USUAL_FULLNESS))


def _differs(version: Version, piece: SetPiece, studio: Studio) -> str:
    """In what the version differs from the sketch as it stands."""
    now, then, words = piece.takeoff, version.takeoff, []
    wider = Decimal(str(then.width_m)) - Decimal(str(now.width_m))
    if abs(wider) >= Decimal("0.02"):
        words.append(f"{lengths.written(abs(wider), studio.units)} {'wider' if wider > 0 else 'narrower'}")
    higher = Decimal(str(then.height_m)) - Decimal(str(now.height_m))
    if abs(higher) >= Decimal("0.05"):
        words.append(f"{lengths.written(abs(higher), studio.units)} {'higher' if higher > 0 else 'lower'}")
    if more := then.balloons - now.balloons:
        words.append(f"{abs(more)} {'more' if more > 0 else 'fewer'} balloons")
    if then.frames != now.frames:
        words.append("other frames")
    if version.change.bare:
        words.append("no florals")
    return ", ".join(words)
