"""How the renderer works a still out: path tracing with few samples a pixel, then denoised.

Settings, found by looking at pictures: LuxCore's path tracer on the processor, and its Open Image Denoise. A pixel
filter would smear the noise over its neighbours, which the denoiser then takes for a pattern; so there is none.
"""

from __future__ import annotations

from typing import Final

from quoting.craft.still.still import Look

OUTPUT: Final = "still.png"
# Settings, found by looking at pictures.
PASSES: Final = 12
"""Samples a pixel."""
EDGE: Final = 4
"""Pixels on each side that are rendered and cut off: the denoiser doesn't see past the edge."""
SEED: Final = 7
DENOISER_MB: Final = 600
"""It works in tiles of so much memory."""
EXPOSURE: Final = 0.7
GAMMA: Final = 2.2


def engine_settings(look: Look, *, passes: int | None = None) -> str:
    """Write the settings of the renderer for a still of this look.

    >>> "film.width = 1608" in engine_settings(Look())
    True
    """
    return "\n".join(
        f"{name} = {value}"
        for name, value in {
            "renderengine.type": '"PATHCPU"',
            "renderengine.seed": SEED,
            "sampler.type": '"SOBOL"',
            "film.width": look.width + 2 * EDGE,
            "film.height": look.height + 2 * EDGE,
            "film.filter.type": '"NONE"',
            "batch.haltspp": passes or PASSES,
            "path.pathdepth.total": 6,
            "path.clamping.variance.maxvalue": 4,
            "film.imagepipelines.0.0.type": '"NOP"',
            "film.imagepipelines.0.1.type": '"INTEL_OIDN"',
            "film.imagepipelines.0.1.sharpness": 0,
            "film.imagepipelines.0.1.prefilter.enable": 1,
            "film.imagepipelines.0.1.oidnmemory": DENOISER_MB,
            "film.imagepipelines.0.2.type": '"TONEMAP_LINEAR"',
            "film.imagepipelines.0.2.scale": EXPOSURE,
            "film.imagepipelines.0.3.type": '"GAMMA_CORRECTION"',
            "film.imagepipelines.0.3.value": GAMMA,
            "film.outputs.0.type": '"RGB_IMAGEPIPELINE"',
            "film.outputs.0.index": 0,
            "film.outputs.0.filename": f'"{OUTPUT}"',
        }.items()
    )
