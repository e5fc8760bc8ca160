"""The routes of a design laid: the string of every garland before a balloon hangs on it."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import MOST_BALLOONS, Cover, Design, Frame, Garland
from quoting.craft.design.routes import Route, RouteTooLong, route_of
from quoting.craft.settle.garland import CLUSTER, body_diameter_m, mean_diameter_m
from studio.trade.errors import CraftError

# Balloons with fillers, over those in quads alone: for the estimate before any work is done; measured, a setting.
FILLER_GAIN = 2.2
ROUTES_KEPT = 64  # a setting: of a resize, each route is asked for several times
ANY_COVER = Cover(item="any", label="Any", colour="", hex="#000000")


def routes_of(design: Design) -> list[Route]:
    """Lay the route of every garland.

    DesignError where one is too short to string, or where the whole would take more than MOST_BALLOONS: told from
    closed forms before much is worked out.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> design = load_design(STARTERS / "table-garland.json")
    >>> [round(route.length_m, 2) for route in routes_of(design)]
    [2.7]
    """
    routes: list[Route] = []
    faults: list[Fault] = []
    expected = float(sum(bouquet.count for bouquet in design.bouquets))
    expected += sum(1.4 * wall.width_m * wall.height_m / wall.sized_m**2 * 1.6 for wall in design.walls)
    for index, garland in enumerate(design.garlands):
        pitch, per_metre = garland.pitch * mean_diameter_m(garland), _per_metre(garland)
        try:
            route = route_in(design, index)
        except DesignError as error:
            raise DesignError(*faults, *error.faults) from None
        expected += per_metre * route.length_m
        if route.length_m < 2 * pitch:
            field, length_m = f"garlands[{index}].route", route.length_m
            faults.append(Fault(code=FaultCode.ROUTE_TOO_SHORT, field=field, found=length_m, low=2 * pitch))
        routes.append(route)
    if expected > MOST_BALLOONS:
        code = FaultCode.TOO_MANY_BALLOONS
        faults.append(Fault(code=code, field="garlands", found=expected, high=MOST_BALLOONS))
    if faults:
        raise DesignError(*faults)
    return routes


def route_in(design: Design, index: int) -> Route:
    """Lay the route of one garland. DesignError for a leg that can't hang, or where it is so long that it alone would
    take many more than MOST_BALLOONS. The last routes are kept, as an estimate and a settling ask for the same one.
    """
    garland, field = design.garlands[index], f"garlands[{index}].route"
    try:
        return _laid(
            Garland(
                id="any", work=garland.work, route=garland.route, mix=garland.mix, profile=garland.profile
            ),
            tuple(bare_frame(frame) for frame in design.frames),
            mirrored=design.mirrored,
            longest_m=2 * MOST_BALLOONS / _per_metre(garland),
        )
    except RouteTooLong as error:
        code, most = FaultCode.ROUTE_TOO_LONG, str(MOST_BALLOONS)
        raise DesignError(Fault(code=code, field=field, high=error.longest_m, what=most)) from None
    except CraftError as error:
        raise DesignError(Fault(code=FaultCode.CANNOT_HANG, field=field, what=str(error))) from None


def bare_frame(frame: Frame) -> Frame:
    """A frame as the balloons meet it, whatever it is called, weighs or is wrapped in."""
    cover = ANY_COVER if frame.cover else None
    filling = frame.filling if frame.is_filled else "none"
    return replace(
        frame, item="any", label="", weight_kg=0.0, foot_depth_m=0.0, cover=cover, filling=filling, sizes=()
    )


def forget() -> None:
    """Drop the routes that are kept."""
    _laid.cache_clear()


# Private


def _per_metre(garland: Garland) -> float:
    """About how many balloons a metre of a garland takes."""
    return CLUSTER[garland.cluster] / (garland.pitch * mean_diameter_m(garland)) * FILLER_GAIN


@lru_cache(maxsize=ROUTES_KEPT)
def _laid(garland: Garland, frames: tuple[Frame, ...], *, mirrored: bool, longest_m: float) -> Route:
    ball_m = body_diameter_m(garland)
    return route_of(garland, frames, ball_m=ball_m, mirrored=mirrored, longest_m=longest_m)
