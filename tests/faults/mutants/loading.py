"""Loads the modules that changes were planted into."""

from __future__ import annotations

import importlib.abc
import importlib.machinery
import sys
from collections.abc import Collection, Sequence
from pathlib import Path
from types import CodeType, ModuleType

from tests.faults.mutants import planting, switch

ROOT = Path(__file__).resolve().parents[3]


class PlantedLoader(importlib.machinery.SourceFileLoader):
    """Compiles a file with its changes planted, and leaves nothing of it on the disk."""

    def __init__(self, name: str, path: str, figures: Collection[str], numbers: dict[int, int]) -> None:
        super().__init__(name, path)
        self.figures, self.numbers = figures, numbers

    def get_code(self, fullname: str) -> CodeType:
        source = Path(self.path).read_text("utf-8")
        tree = planting.planted(source, self.figures, self.numbers)
        return compile(tree, self.path, "exec", dont_inherit=True)

    def exec_module(self, module: ModuleType) -> None:
        vars(module)[planting.CHANGED] = switch.is_changed
        vars(module)[planting.SCALED] = switch.scaled
        super().exec_module(module)


class PlantedFinder(importlib.abc.MetaPathFinder):
    """Finds the chosen files, by the number of each change at each place."""

    def __init__(self, chosen: dict[str, dict[int, int]], figures: Collection[str]) -> None:
        self.chosen, self.figures = chosen, figures

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        name = f"{fullname.replace('.', '/')}.py"
        if name not in self.chosen:
            return None
        file = str(ROOT / name)
        loader = PlantedLoader(fullname, file, self.figures, self.chosen[name])
        return importlib.machinery.ModuleSpec(fullname, loader, origin=file)


def plant(chosen: dict[str, dict[int, int]], figures: Collection[str]) -> None:
    """From now on the chosen files are loaded with their changes; none of them is loaded yet."""
    loaded = [name for name in chosen if name.removesuffix(".py").replace("/", ".") in sys.modules]
    assert not loaded, f"loaded too early: {loaded}"
    sys.meta_path.insert(0, PlantedFinder(chosen, figures))
