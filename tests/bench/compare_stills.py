"""How near a still as it is shipped comes to one with 256 samples a pixel, and what it takes.

    python -m tests.bench.compare_stills garland-nested-arches hall 800

It prints seconds, processor seconds and the most memory of the child, and the structural similarity of both pictures;
0.97 is wanted. It needs ``requirements/render.txt`` and minutes of all cores; quoting/stills/README.md keeps figures.
"""

from __future__ import annotations

import io
import resource
import sys
import time
from typing import Final

import numpy as np
from PIL import Image
from scipy.ndimage import gaussian_filter

from quoting.craft.design.design_file import STARTERS, load_design
from quoting.craft.solid.scene import scene_of
from quoting.craft.still.engine import SAMPLES_ASIDE
from quoting.craft.still.scene_file import StillFiles
from quoting.craft.still.still import Look, still_files
from quoting.craft.takeoff.takeoff import take_off
from quoting.stills.rendering import rendered
from studio.trade.ranges import FloatArray

SPREAD_PX: Final = 1.5
REFERENCE_ASIDE: Final = 16
HIGH_BY_WIDE: Final = 1250 / 1600


def structural_similarity(first: FloatArray, second: FloatArray) -> float:
    """The mean structural similarity of two grey pictures from 0 to 255: 1 for the same.

    Source: Wang, Bovik, Sheikh, Simoncelli, "Image quality assessment: from error visibility to structural
    similarity", IEEE Transactions on Image Processing 13 (2004), with its window and its constants.
    """

    def mean(picture: FloatArray) -> FloatArray:
        return np.asarray(gaussian_filter(picture, SPREAD_PX))

    light, contrast = (0.01 * 255) ** 2, (0.03 * 255) ** 2
    one, other = mean(first), mean(second)
    spread_one, spread_other = mean(first * first) - one**2, mean(second * second) - other**2
    common = mean(first * second) - one * other
    alike = (2 * one * other + light) * (2 * common + contrast)
    return float((alike / ((one**2 + other**2 + light) * (spread_one + spread_other + contrast))).mean())


def main(starter: str, room: str, wide: int) -> None:
    """Render both and print what was measured."""
    look = Look(room, 0.0, wide, round(wide * HIGH_BY_WIDE))
    files = still_files(scene_of(take_off(load_design(STARTERS / f"{starter}.json")), fine=True), look)
    shipped, reference = (_grey(files, look, aside) for aside in (SAMPLES_ASIDE, REFERENCE_ASIDE))
    sys.stdout.write(f"similarity {structural_similarity(shipped, reference):.4f}\n")


# Private


def _grey(files: StillFiles, look: Look, aside: int) -> FloatArray:
    began, before = time.monotonic(), resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    made = rendered(files, look, lambda _: None, samples_aside=aside)
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    sys.stdout.write(
        f"{look.width} x {look.height}, {aside * aside} samples: {time.monotonic() - began:.0f} s, "
        f"{used.ru_utime - before:.0f} processor seconds, {used.ru_maxrss / 1024:.0f} MB at most\n"
    )
    with Image.open(io.BytesIO(made.large)) as picture:
        return np.asarray(picture.convert("L"), dtype=float)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]))
