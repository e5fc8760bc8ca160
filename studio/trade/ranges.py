"""Checks that a quantity lies where a formula holds, with one wording for all of them."""

from __future__ import annotations

from typing import TypeAlias, TypeVar

import numpy as np
import numpy.typing as npt

from studio.trade.errors import CraftError

FloatArray: TypeAlias = npt.NDArray[np.float64]
IntArray: TypeAlias = npt.NDArray[np.intp]

#: A number or an array of numbers; what goes in as one comes out as the same.
Number = TypeVar("Number", float, FloatArray)


def positive(name: str, value: npt.ArrayLike, unit: str) -> None:
    """Raise CraftError unless every number of `value` is finite and above zero.

    >>> positive("width", 0.0, "m")
    Traceback (most recent call last):
    ...
    studio.trade.errors.CraftError: width is 0.0; it must be above 0 m.
    """
    _refuse_unless(bool(np.all(_finite(value) & (np.asarray(value) > 0))), name, value, f"above 0 {unit}")


def not_negative(name: str, value: npt.ArrayLike, unit: str) -> None:
    """Raise CraftError unless every number of `value` is finite and zero or more.

    >>> not_negative("loss", -0.1, "")
    Traceback (most recent call last):
    ...
    studio.trade.errors.CraftError: loss is -0.1; it must be 0 or more.
    """
    _refuse_unless(bool(np.all(_finite(value) & (np.asarray(value) >= 0))), name, value, f"0 {unit} or more")


def between(name: str, value: npt.ArrayLike, low: float, high: float, unit: str) -> None:
    """Raise CraftError unless every number of `value` lies in [low, high]; ends belong to it.

    >>> between("gust", 80.0, 0.0, 60.0, "m/s")
    Traceback (most recent call last):
    ...
    studio.trade.errors.CraftError: gust is 80.0; it must be from 0 to 60 m/s.
    """
    inside = _finite(value) & (np.asarray(value) >= low) & (np.asarray(value) <= high)
    _refuse_unless(bool(np.all(inside)), name, value, f"from {low:g} to {high:g} {unit}")


def whole(name: str, value: object, low: int, high: int) -> None:
    """Raise CraftError unless `value` is a whole number in [low, high].

    >>> whole("count", 2.5, 1, 10)
    Traceback (most recent call last):
    ...
    studio.trade.errors.CraftError: count is 2.5; it must be a whole number from 1 to 10.
    """
    fits = isinstance(value, int | np.integer) and not isinstance(value, bool) and low <= int(value) <= high
    _refuse_unless(fits, name, value, f"a whole number from {low} to {high}")


def _finite(value: npt.ArrayLike) -> npt.NDArray[np.bool_]:
    try:
        return np.isfinite(np.asarray(value, dtype=np.float64))
    except (TypeError, ValueError):
        return np.array(False)


def _refuse_unless(fits: bool, name: str, value: object, allowed: str) -> None:
    if not fits:
        shown = "an array with a value outside" if isinstance(value, list | tuple | np.ndarray) else value
        raise CraftError(f"{name} is {shown}; it must be {allowed}.".replace("  ", " ").replace(" .", "."))
