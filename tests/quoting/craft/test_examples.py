"""The examples in docstrings do what they say, and at least half of the public functions have one."""

from __future__ import annotations

import doctest
import importlib
import pkgutil
import re
from inspect import getmodule, isfunction
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

import quoting.craft
import studio.trade

MODULES = tuple(
    found.name
    for package in (quoting.craft, studio.trade)
    for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
    if not found.ispkg
)


def public_functions(module: ModuleType) -> list[object]:
    """Functions that the module itself defines."""
    return [
        found
        for name, found in vars(module).items()
        if isfunction(found) and getmodule(found) is module and not name.startswith("_")
    ]


@pytest.mark.parametrize("name", MODULES)
def test_examples_do_what_they_say(name: str) -> None:
    # A library of other tests has NumPy write arrays in an older way.
    with np.printoptions(legacy=False):
        assert doctest.testmod(importlib.import_module(name), optionflags=doctest.FAIL_FAST).failed == 0


def test_at_least_half_of_the_public_functions_have_an_example() -> None:
    functions = [found for name in MODULES for found in public_functions(importlib.import_module(name))]
    shown = [found for found in functions if ">>>" in (found.__doc__ or "")]
    assert len(functions) > 100
    assert len(shown) >= len(functions) / 2


def test_the_calls_of_the_readme_run() -> None:
    text = (Path(quoting.craft.__path__[0]) / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```python\n(.*?)```", text, re.DOTALL)
    names: dict[str, Any] = {}
    for block in blocks:
        exec(block, names)  # noqa: S102 - the text is the project's own
    assert len(blocks) == 4
    assert names["read_takeoff"](names["document"]) == names["stored_takeoff"](names["result"])
