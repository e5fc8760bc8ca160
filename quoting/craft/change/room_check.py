"""A room filled: the owned frames that fill it best, and why the others are refused."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace

from quoting.craft.change.extent import Beyond, Extent, beyond_estimate, estimated_extent, measured_extent
from quoting.craft.change.scaling import CLOSE, Choice, bend, orderly_choices, spread_to, taken
from quoting.craft.design.chosen import as_chosen
from quoting.craft.design.faults import DesignError, Fault
from quoting.craft.design.records import Design

# Settings of the search.
MOST_CANDIDATES = 96
"""Combinations of owned sizes looked at; of more, those whose frames come nearest to the clear height."""
CONFIRMED = 5  # candidates settled, best first, until one stays within the site
BEND_COST = (
    0.3  # share of the site that a candidate must fill more, for frames out of proportion to each other
)
GIVES = (0.0, 0.01, 0.02, 0.035, 0.05, 0.075, 0.1)
HEIGHT_VARIES = 0.03  # share by which the balloons on top come out otherwise as the frames are moved
LIMITS = {
    "width_m": ("wide", "in width"),
    "height_m": ("high", "in height"),
    "depth_m": ("deep with the gap to the wall", "in depth"),
}
SLACK_M = 0.005  # a piece this much over a limit still fits: fabric and latex give way


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearances:
    """What stays free around the piece [m]: to either side, below the ceiling, before its front.

    The gap to the wall behind is the site's own ``wall_gap_m``.
    """

    sides_m: float = 0.0
    above_m: float = 0.0
    front_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a candidate does not fit.

    ``at``: the limit (``width_m``, ``height_m``, ``depth_m``), ``frames`` where too few are owned, ``design`` where it
    can't be built. ``needed`` and ``there_is``: metres, or pieces of the frame ``label``. ``by_ceiling``: the ceiling
    limits the height, not the site's own clear height. ``fault``: why the design can't be built.

    >>> Refusal("height_m", 2.63, 2.4, by_ceiling=True).words
    'comes out 2.63 m high; 2.40 m is clear under the ceiling'
    """

    at: str
    needed: float = 0.0
    there_is: float = 0.0
    label: str = ""
    by_ceiling: bool = False
    fault: Fault | None = None

    @property
    def words(self) -> str:
        """The refusal in English, lengths in metres. A page takes the figures."""
        if self.fault is not None:
            return str(self.fault)
        if self.at == "frames":
            return f"takes {self.needed:g} of {self.label}; {self.there_is:g} there"
        how, where = LIMITS[self.at]
        where = "under the ceiling" if self.by_ceiling else where
        return f"comes out {self.needed:.2f} m {how}; {self.there_is:.2f} m is clear {where}"


@dataclass(frozen=True, slots=True)
class Candidate:
    """One choice of frames at the scale that fills the site best.

    ``frames``: label of each frame, in the design's order; empty where all is made to measure. ``filled``: share of
    the clear width times height. ``settled``: measured with its balloons at rest, otherwise estimated. ``design`` is
    None where the candidate is refused.
    """

    frames: tuple[str, ...]
    width_m: float
    height_m: float
    depth_m: float
    filled: float
    settled: bool
    refusals: tuple[Refusal, ...]
    design: Design | None


@dataclass(frozen=True, slots=True)
class SiteFit:
    """The answer: the ``chosen`` candidate or None, then all ``others``: first those that fit, best first, then the
    refused, nearest first. ``width_m``, ``height_m`` and ``depth_m`` are what is clear. ``left_out`` counts the
    combinations that were not looked at."""

    width_m: float
    height_m: float
    depth_m: float
    chosen: Candidate | None
    others: tuple[Candidate, ...]
    left_out: int


def fit_site(
    design: Design, *, clearances: Clearances = Clearances(), owned: Mapping[str, int] | None = None
) -> SiteFit:
    """Find the frames, out of the sizes owned, and the scale at which a design fills its site best.

    The site is ``design.site``: clear width, height and depth, ceiling and gap to the wall. ``owned``: pieces by item
    code, where one frame must not be taken twice; None: as many as wanted. Every combination of owned sizes that keeps
    the order of the frames is spread to the clear width and estimated; the best are settled until one stays within the
    site. Best is what fills most of the clear width times height, less :data:`BEND_COST` times how far the frames are
    from their proportions to each other. What is made to measure has one candidate, scaled to the clear height. Raises
    DesignError where the design itself can't be built.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "garland-nested-arches.json")
    >>> answer = fit_site(design, clearances=Clearances(sides_m=0.1, above_m=0.1))
    >>> answer.chosen.frames, round(answer.chosen.filled, 2)
    (('Arch frame 8 ft', 'Arch frame 6 ft'), 0.99)
    """
    design, site = as_chosen(design), design.site
    wide = site.width_m - 2 * clearances.sides_m
    high = min(site.height_m, site.ceiling_m - clearances.above_m)
    deep = site.depth_m - clearances.front_m
    limits = _Limits(wide, high, deep, high < site.height_m)
    beyond = beyond_estimate(design)
    choices = sorted(
        orderly_choices(design), key=lambda choice: abs(_frames_height(design, choice) + beyond.up - high)
    )
    looked_at = choices[:MOST_CANDIDATES]
    judged = [_judged(design, choice, limits, beyond, owned) for choice in looked_at]
    order = sorted(range(len(judged)), key=lambda k: (_rank(judged[k], design, looked_at[k]), k))
    chosen: Candidate | None = None
    for k in [k for k in order if not judged[k].refusals][:CONFIRMED]:
        judged[k] = _confirmed(judged[k], design, looked_at[k], limits)
        if not judged[k].refusals:
            chosen = judged[k]
            break
    order.sort(key=lambda k: bool(judged[k].refusals))
    others = tuple(judged[k] for k in order if judged[k] is not chosen)
    return SiteFit(wide, high, deep, chosen, others, len(choices) - len(looked_at))


# Private


@dataclass(frozen=True, slots=True)
class _Limits:
    wide: float
    high: float
    deep: float
    by_ceiling: bool


def _frames_height(design: Design, choice: Choice) -> float:
    return max(
        (f.base_m + (s.height_m if s else f.height_m) for f, s in zip(design.frames, choice, strict=True)),
        default=0.0,
    )


def _rank(candidate: Candidate, design: Design, choice: Choice) -> float:
    """The less, the better; of the refused, those that lack least."""
    lacks = sum(refusal.needed / max(refusal.there_is, 0.01) for refusal in candidate.refusals)
    return lacks or BEND_COST * bend(design, choice) - candidate.filled


def _judged(
    design: Design, choice: Choice, limits: _Limits, beyond: Beyond, owned: Mapping[str, int] | None
) -> Candidate:
    """A candidate by estimate."""
    candidate = _estimated(design, choice, limits, beyond, GIVES[0])
    for give in GIVES[1:]:
        if not candidate.refusals or (any(choice) and any(one.at != "width_m" for one in candidate.refusals)):
            break  # owned frames move together, but they don't shrink
        candidate = _estimated(design, choice, limits, beyond, give)
    lacking = _lacking(choice, owned)
    return replace(candidate, refusals=lacking + candidate.refusals, design=None) if lacking else candidate


def _estimated(design: Design, choice: Choice, limits: _Limits, beyond: Beyond, give: float) -> Candidate:
    one = _scaled_into(design, choice, limits, beyond, give)
    return _candidate(one, choice, limits, estimated_extent(one), beyond, settled=False)


def _confirmed(candidate: Candidate, design: Design, choice: Choice, limits: _Limits) -> Candidate:
    """The candidate with its balloons at rest, brought nearer where they reach too far."""
    one = candidate.design
    assert one is not None
    try:
        measured = _measured(one, choice, limits)
        for give in GIVES:
            if not measured.refusals or _too_high_for_its_frames(measured, choice):
                break
            beyond = beyond_estimate(one, came_out=(measured.width_m, measured.height_m))
            one = _scaled_into(design, choice, limits, beyond, give)
            measured = _measured(one, choice, limits)
    except DesignError as error:
        refusals = tuple(Refusal("design", fault=fault) for fault in error.faults)
        return replace(candidate, refusals=refusals, design=None)
    return measured


def _measured(one: Design, choice: Choice, limits: _Limits) -> Candidate:
    """The candidate at rest; fillers, which cost more than all the rest, only where it stays within without them."""
    nothing = Beyond(0.0, 0.0)
    bare = _candidate(one, choice, limits, measured_extent(one), nothing, settled=True)
    if bare.refusals:
        return bare
    return _candidate(one, choice, limits, measured_extent(one, fillers=True), nothing, settled=True)


def _too_high_for_its_frames(measured: Candidate, choice: Choice) -> bool:
    """Whether moving owned frames, which hardly changes the height, can't bring it within."""
    heights = [one for one in measured.refusals if one.at == "height_m"]
    return any(choice) and any(one.needed > one.there_is * (1 + HEIGHT_VARIES) for one in heights)


def _scaled_into(design: Design, choice: Choice, limits: _Limits, beyond: Beyond, give: float) -> Design:
    """The design over these sizes, spread to the clear width (and made as high) less a share ``give`` of it."""
    sized = taken(design, choice, max((limits.high - beyond.up) * (1 - give), 0.05))
    one, _ = spread_to(sized, max((limits.wide - beyond.across) * (1 - CLOSE - give), 0.05))
    return one.design


def _candidate(
    design: Design, choice: Choice, limits: _Limits, extent: Extent, beyond: Beyond, *, settled: bool
) -> Candidate:
    width, height = extent.width + beyond.across, extent.top + beyond.up
    plane = min((frame.z_m for frame in design.frames), default=0.0)
    depth = max(extent.front - plane + design.site.wall_gap_m, extent.front - extent.rear)
    refusals = _refusals(width, height, depth, limits)
    labels = tuple(f.label for f, size in zip(design.frames, choice, strict=True) if size is not None)
    filled = min(width, limits.wide) * min(height, limits.high) / (limits.wide * limits.high)
    return Candidate(labels, width, height, depth, filled, settled, refusals, None if refusals else design)


def _refusals(width: float, height: float, depth: float, limits: _Limits) -> tuple[Refusal, ...]:
    rows = (
        ("width_m", width, limits.wide, False),
        ("height_m", height, limits.high, limits.by_ceiling),
        ("depth_m", depth, limits.deep, False),
    )
    return tuple(
        Refusal(at, needed, there_is, by_ceiling=by_ceiling)
        for at, needed, there_is, by_ceiling in rows
        if needed > there_is + SLACK_M
    )


def _lacking(choice: Choice, owned: Mapping[str, int] | None) -> tuple[Refusal, ...]:
    if owned is None:
        return ()
    labels = {size.item: size.label for size in choice if size is not None}
    wanted = Counter(size.item for size in choice if size is not None)
    return tuple(
        Refusal("frames", n, owned.get(item, 0), labels[item])
        for item, n in sorted(wanted.items())
        if n > owned.get(item, 0)
    )
