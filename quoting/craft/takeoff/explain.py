"""Explanations: every quantity of the bill traced to its parts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeAlias

from quoting.craft.design.prints import Sheet, printed_sheet
from quoting.craft.design.records import Design, Frame
from quoting.craft.design.things import Prop
from quoting.craft.takeoff.balloons import BALLOON_ROLES
from quoting.craft.takeoff.doubles import every_colour
from quoting.craft.takeoff.singles import SINGLE
from quoting.craft.takeoff.spares import Key
from quoting.craft.takeoff.takeoff import Material, TakeOff, printed_cover
from studio.trade.sentences import Sentence, written_out

MadeUp: TypeAlias = dict[Key, dict[tuple[int, int], list[int]]]
ROLE_WORDS = {
    "body": "in quads",
    "round": "as bigger rounds in quads",
    "accent": "tied on",
    "filler": "in fillers",
    "inner": "within others",
}

RETARDANT = (
    ". Where the venue asks for flame-retardant cloth, have it printed on such and bring the certificate."
)


def explain(takeoff: TakeOff, code: str) -> str:
    """Say how the quantity of ``code`` came about, in one sentence, lengths in metres. KeyError where the bill has no
    such code.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> takeoff = take_off(load_design(STARTERS / "classic-arch.json"))
    >>> explain(takeoff, takeoff.bill()[0].code)  # doctest: +ELLIPSIS
    'Ink 11 in: 41 in quads 1-3, 10-11, 18-20, 26-28 = 41 placed; + 7 spare (enough in 98.3 % of jobs ...'
    """
    return written_out(explained(takeoff, code))


def explained(takeoff: TakeOff, code: str) -> Sentence:
    """Say the same with lengths as numbers. KeyError where the bill has no such code.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> explained(take_off(load_design(STARTERS / "garland-nested-arches.json")), "pick-fern")[:2]
    ('Fern pick: one for every ', 0.6)
    """
    for line in takeoff.bill():
        if line.code == code:
            return _sentence(takeoff, line, _made_up(takeoff))
    raise KeyError(f"the bill has no {code!r}")


def explained_bill(takeoff: TakeOff) -> tuple[tuple[Material, Sentence], ...]:
    """Every line of the bill with its explanation, lengths as numbers [m].

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> from quoting.craft.takeoff.takeoff import take_off
    >>> line, sentence = explained_bill(take_off(load_design(STARTERS / "garland-nested-arches.json")))[-1]
    >>> line.code, sentence
    ('clip-binder', ('Binder clip: 6 (one for every tie point on thin tube).',))
    """
    made_up = _made_up(takeoff)
    return tuple((line, _sentence(takeoff, line, made_up)) for line in takeoff.bill())


# Private


def _sentence(takeoff: TakeOff, line: Material, made_up: MadeUp) -> Sentence:
    code = line.code
    if code.startswith("latex-") and not code.startswith("latex-260-"):
        return (_explain_latex(takeoff, line, made_up),)
    for rig in takeoff.rigging.lines:
        if rig.code == code:
            return (f"{rig.label}: {rig.quantity} ({rig.reason}).",)
    alone = sum(spray.item == code for spray in takeoff.design.sprays)
    if any(floral.item == code for floral in takeoff.floral_counts):
        return _explain_floral(takeoff, code, alone)
    if alone:
        return (f"{line.label}: {line.quantity}, each set by itself.",)
    owners = [frame.label for frame in takeoff.design.frames if code == frame.item]
    owners += [
        f"the cover of {frame.label}"
        for frame in takeoff.design.frames
        if frame.cover and code == frame.cover.item
    ]
    for frame in takeoff.design.frames:
        laid = frame.cover_print
        if laid and code == printed_cover(frame, laid).code:
            return _explain_print(takeoff.design, printed_sheet(frame, laid.bleed_m), line)
    standing: tuple[Frame | Prop, ...] = (*takeoff.design.frames, *takeoff.design.props)
    there = any(code == one.item and not one.is_brought for one in standing)
    note = "; it stands at the venue, too heavy to bring" if there else ""
    return (f"{line.label}: {line.quantity}, for {' and '.join(owners) if owners else 'the design'}{note}.",)


def _explain_print(design: Design, sheet: Sheet, line: Material) -> Sentence:
    """What is printed and for which frames; the sheet with its bleed."""
    frames = [
        frame.label
        for frame in design.frames
        if frame.cover_print and printed_cover(frame, frame.cover_print).code == line.code
    ]
    return (
        f"Printed cover: {line.quantity}, for {' and '.join(frames)}; the sheet with its bleed is ",
        round(sheet.width_m, 4), " × ", round(sheet.height_m, 4), RETARDANT,
    )  # fmt: skip


def _made_up(takeoff: TakeOff) -> MadeUp:
    """The quads that the balloons of each size and colour are in, one for each balloon, by piece and role."""
    balloons = takeoff.balloons.with_inner()
    codes = [item.colour for item in every_colour(takeoff.design)]
    columns = (balloons.size_in, balloons.colour, balloons.garland, balloons.role, balloons.quad)
    found: MadeUp = {}
    for size, colour, garland, role, quad in zip(*(column.tolist() for column in columns), strict=True):
        found.setdefault((size, codes[colour]), {}).setdefault((garland, role), []).append(quad)
    return found


def _explain_latex(takeoff: TakeOff, line: Material, made_up: MadeUp) -> str:
    _, size, colour = line.code.split("-", 2)
    mine = made_up[int(size), colour]
    several = sum(piece.kind != "round" for piece in takeoff.pieces) > 1
    parts, alone = [], 0
    for (garland, role), quads in sorted(mine.items()):
        if role == SINGLE:
            alone += len(quads)
            continue
        piece = takeoff.pieces[garland]
        total = takeoff.garlands[garland].quads if garland < len(takeoff.garlands) else 0
        where = _where(BALLOON_ROLES[role], quads, total) if piece.kind != "bouquet" else "afloat"
        name = f" of {piece.label.lower()}" if several else ""
        parts.append(f"{len(quads)} {where}{name}")
    if alone:
        parts.append(f"{alone} by {'itself' if alone == 1 else 'themselves'}")
    placed = sum(map(len, mine.values()))
    spares = f"{line.quantity - placed} spare ({_why_spares(takeoff, (int(size), colour))})"
    return f"{line.label}: {', '.join(parts)} = {placed} placed; + {spares} = {line.quantity}."


def _why_spares(takeoff: TakeOff, key: Key) -> str:
    loss = takeoff.design.loss
    if not loss:
        return "none is lost"
    group = takeoff.allowance.group_of(key)
    placed = sum(batch.count for batch in group.batches)
    sizes = " and ".join(str(batch.size_in) for batch in group.batches)
    shared = "" if placed == takeoff.counts[key] else f"{sum(group.spares)} for all {placed} of {sizes} in, "
    return (
        f"{shared}enough in {group.chance * 100:.1f} % of jobs where {loss * 100:g} % of what is brought is lost; "
        f"for the whole piece in {takeoff.allowance.chance * 100:.1f} %"
    )


def _where(role: str, quads: Iterable[int], quad_total: int) -> str:
    words = ROLE_WORDS[role]
    if role in ("body", "round"):
        return f"{words} {_ranges(sorted({quad + 1 for quad in quads}))}"
    if role == "filler":
        return f"{words} {_ranges(sorted({(quad - quad_total) // 2 + 1 for quad in quads}))}"
    return words


def _ranges(numbers: list[int]) -> str:
    """1, 2, 3, 7 as ``1-3, 7``; long lists are cut in the middle by their ends."""
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][1] + 1:
            runs[-1][1] = n
        else:
            runs.append([n, n])
    words = [f"{a}" if a == b else f"{a}-{b}" for a, b in runs]
    if len(words) > 6:
        return f"{len(numbers)} of {numbers[0]}-{numbers[-1]}"
    return ", ".join(words)


def _explain_floral(takeoff: TakeOff, code: str, alone: int) -> Sentence:
    floral = next(item for item in takeoff.design.florals if item.item == code)
    count = next(item for item in takeoff.floral_counts if item.item == code)
    run = round(takeoff.dimensions.garland_m, 4)
    more = f"; {alone} set by {'itself' if alone == 1 else 'themselves'}" if alone else ""
    if floral.kind == "greenery":
        share = f"{floral.label}: {floral.share * 100:g} % of "
        return (
            share, run, " of garland with overlap = ", round(count.length_m, 4), ", in pieces of ", floral.piece_m,
            f" = {count.pieces}{more}.",
        )  # fmt: skip
    each = f"{floral.label}: one for every "
    return each, floral.spacing_m, " of ", run, f" of garland = {count.pieces}{more}."
