"""Hold the models of all starters and of three pieces of our own against the glTF specification, by its publisher's
validator: ``python -m tests.valid_models``. It ends with 0 where there is no error and no warning."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.design.records import Design
from quoting.craft.sheets.order_of_building import everything_built
from quoting.craft.solid.glb import glb
from quoting.craft.solid.scene import scene_of
from quoting.craft.takeoff.takeoff import take_off
from tests.quoting.craft.solid.own_pieces import OWN_PIECES, PRINTS

VALIDATOR: Final = Path(__file__).resolve().parents[1] / "requirements" / "node" / "valid_models.mjs"


def every_piece() -> dict[str, Design]:
    """The starters and our own pieces by name."""
    starters = {path.stem: load_design(path) for path in sorted(STARTERS.glob("*.json"))}
    return starters | OWN_PIECES


def written(designs: Mapping[str, Design], folder: Path) -> list[Path]:
    """The model of each design as a file: as it is turned, and as a build sheet has it."""
    paths = []
    for name, design in designs.items():
        takeoff = take_off(design)
        scene = scene_of(takeoff)
        notes: list[dict[str, object]] = [{"step": one.step} for one in everything_built(takeoff, scene)]
        for kind, model in (("turned", glb(scene)), ("built", glb(scene, notes, PRINTS))):
            paths.append(folder / f"{name}-{kind}.glb")
            paths[-1].write_bytes(model)
    return paths


def main() -> int:
    """Write the models to a folder of their own and validate them."""
    with tempfile.TemporaryDirectory() as folder:
        paths = written(every_piece(), Path(folder))
        return subprocess.run(["node", VALIDATOR, *paths], check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
