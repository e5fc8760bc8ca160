"""How the renderer works a still out: path tracing with few samples a pixel, then denoised.

It goes tile by tile, once over each: so the same scene gives the same picture, however many threads there are.

Settings, found by looking at pictures: LuxCore's path tracer on the processor, and its Open Image Denoise. A pixel
filter would smear the noise over its neighbours, which the denoiser then takes for a pattern; so there is none.
"""

from __future__ import annotations

from typing import Final

from quoting.craft.still.backdrop import FLOOR_ID
from quoting.craft.still.camera import EDGE
from quoting.craft.still.still import Look

OUTPUT: Final = "still.npy"
MASKS: Final = "masks.npy"
# Settings, found by looking at pictures.
SAMPLES_ASIDE: Final = 3
"""Samples on each side of a pixel: nine of them in all."""
SEED: Final = 7
DENOISER_MB: Final = 400
"""It works in tiles of so much memory."""


def engine_settings(look: Look, *, samples_aside: int = SAMPLES_ASIDE) -> str:
    """Write the settings of the renderer for a still of this look.

    >>> "film.width = 1608" in engine_settings(Look())
    True
    """
    return "\n".join(
        f"{name} = {value}"
        for name, value in {
            "renderengine.type": '"TILEPATHCPU"',
            "renderengine.seed": SEED,
            "sampler.type": '"TILEPATHSAMPLER"',
            "tilepath.sampling.aa.size": samples_aside,
            "tile.multipass.enable": 0,
            "film.width": look.width + 2 * EDGE,
            "film.height": look.height + 2 * EDGE,
            "film.filter.type": '"NONE"',
            **_guides(),
            **(_masks() if look.backdrop else {}),
            "path.pathdepth.total": 5,
            "path.russianroulette.depth": 2,
            "path.clamping.variance.maxvalue": 4,
            "film.imagepipelines.0.0.type": '"NOP"',
            "film.imagepipelines.0.1.type": '"INTEL_OIDN"',
            "film.imagepipelines.0.1.sharpness": 0,
            "film.imagepipelines.0.1.prefilter.enable": 1,
            "film.imagepipelines.0.1.oidnmemory": DENOISER_MB,
        }.items()
    )


# Private


def _guides() -> dict[str, str]:
    """What the denoiser is told beside the light: colours and slopes of what is seen, so that edges stay sharp."""
    return {
        key: value
        for number, channel in enumerate(("ALBEDO", "AVG_SHADING_NORMAL"))
        for key, value in (
            (f"film.outputs.{number}.type", f'"{channel}"'),
            (f"film.outputs.{number}.filename", f'"{channel.lower()}.exr"'),
        )
    }


def _masks() -> dict[str, str | int]:
    """Which part of a pixel is piece or floor, and which is floor: what is left of it shows the photo."""
    return {
        "film.outputs.2.type": '"ALPHA"',
        "film.outputs.2.filename": '"alpha.exr"',
        "film.outputs.3.type": '"OBJECT_ID_MASK"',
        "film.outputs.3.id": FLOOR_ID,
        "film.outputs.3.filename": '"floor.exr"',
    }
