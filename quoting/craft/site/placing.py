"""Placing a design: facts of its site put over what the design took for granted. Pages and the command ask it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import Field, fields, replace
from typing import Any, Final, TypeAlias

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Design, Site

USUAL_GUST_M_S: Final = 12.0
"""Gust [m/s] that a piece in the open is judged by until somebody says another. Common practice, no source."""
FACTS: Final = tuple(field.name for field in fields(Site))
Facts: TypeAlias = dict[str, Any]
"""Facts of a site by name: the rule of each field has its type, which no annotation of a dict says."""


def with_fact(design: Design, name: str, value: float, *, among: Collection[str] = FACTS) -> Design:
    """Put one fact of its site into a design. DesignError at ``site.<name>``, also out of its range.

    >>> from quoting.craft.design.design_file import STARTERS, load_design
    >>> placed = with_fact(load_design(STARTERS / "classic-arch.json"), "outdoors", True)
    >>> placed.site.judged_gust_m_s
    12.0
    """
    key = f"site.{name}"
    if name not in among:
        raise DesignError(Fault(code=FaultCode.UNKNOWN_FIELD, field=key, names=tuple(among)))
    rule = _field(name).metadata["rule"]
    if rule.kind in ("number", "whole") and not rule.low <= value <= rule.high:
        code = FaultCode.OUT_OF_RANGE
        raise DesignError(Fault(code=code, field=key, found=value, low=rule.low, high=rule.high))
    fact: Facts = {name: value}
    site = replace(design.site, **fact)
    return replace(design, site=in_the_open(site, outdoors=site.outdoors) if name == "outdoors" else site)


def in_the_open(site: Site, *, outdoors: bool) -> Site:
    """The site open to the wind, judged by its gust or the usual one; or sheltered, without any.

    >>> in_the_open(Site(gust_m_s=9.0), outdoors=True).gust_m_s, in_the_open(Site(), outdoors=True).gust_m_s
    (9.0, 12.0)
    """
    gust = (site.gust_m_s or USUAL_GUST_M_S) if outdoors else 0.0
    return replace(site, outdoors=outdoors, gust_m_s=gust)


def read_fact(name: str, text: str) -> float:
    """Read the value of a fact: a number, or ``true`` or ``false`` where it is a flag. DesignError at ``site.<name>``.

    >>> read_fact("outdoors", "true"), read_fact("steps", "12"), read_fact("altitude_m", "1600")
    (True, 12, 1600.0)
    """
    if name not in FACTS:
        raise DesignError(Fault(code=FaultCode.UNKNOWN_FIELD, field=f"site.{name}", names=FACTS))
    kind = _field(name).metadata["rule"].kind
    try:
        return READERS[kind](text)
    except ValueError:
        code = FaultCode.NOT_A_FLAG if kind == "flag" else FaultCode.NOT_A_NUMBER
        rule = _field(name).metadata["rule"]
        raise DesignError(
            Fault(code=code, field=f"site.{name}", found=repr(text), low=rule.low, high=rule.high)
        ) from None


# Private


def _field(name: str) -> Field[object]:
    return next(field for field in fields(Site) if field.name == name)


def _as_flag(text: str) -> bool:
    if text not in ("true", "false"):
        raise ValueError(text)
    return text == "true"


READERS: Final[Mapping[str, Callable[[str], float]]] = {"flag": _as_flag, "whole": int, "number": float}
