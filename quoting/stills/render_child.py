"""Renders one scene in a process of its own: ``python render_child.py FOLDER``.

The folder holds ``scene.scn`` with its meshes, and ``engine.cfg``; the picture comes to stand in it. Each line printed
is the share that is done. The renderer lives in this process only: it brings its own allocator, may take gigabytes, and
may end with an error when it has long done its work.
"""

from __future__ import annotations

import ctypes
import os
import resource
import signal
import sys
import time
from typing import Any

MOST_CPU_SECONDS = 1200
MOST_DATA_BYTES = 3 * 1024**3
MOST_THREADS = 8
LOOK_SECONDS = 0.5
OUTPUT = "still.npy"
MASKS = "masks.npy"
COUNTED = ("film.width", "film.height", "tilepath.sampling.aa.size")
"""Settings that say how many samples the picture takes."""
DIES_WITH_PARENT = 1
"""PR_SET_PDEATHSIG of prctl(2)."""


def main(folder: str) -> None:
    """Render what the folder holds."""
    _limit()
    os.chdir(folder)
    import numpy  # noqa: ICN001 # Before the renderer, or the process dies in its allocator.
    import pyluxcore

    pyluxcore.Init(lambda _: None)
    engine = pyluxcore.Properties("engine.cfg")
    engine.Set(pyluxcore.Property("native.threads.count", min(len(os.sched_getaffinity(0)), MOST_THREADS)))
    scene = pyluxcore.Scene()
    scene.Parse(pyluxcore.Properties("scene.scn"))
    session = pyluxcore.RenderSession(pyluxcore.RenderConfig(engine, scene))
    width, height, aside = (engine.Get(name).GetInt() for name in COUNTED)
    samples = width * height * aside * aside
    session.Start()
    while not session.HasDone():
        time.sleep(LOOK_SECONDS)
        session.UpdateStats()
        _say(session.GetStats().Get("stats.renderengine.total.samplecount").GetFloat() / samples)
    session.Stop()
    film, kinds = session.GetFilm(), pyluxcore.FilmOutputType
    _save(numpy, film, kinds.RGB_IMAGEPIPELINE, (height, width))
    if film.HasOutput(kinds.OBJECT_ID_MASK):
        _save_masks(numpy, film, (kinds.ALPHA, kinds.OBJECT_ID_MASK), (height, width))
    _say(1.0)
    # Its threads and its allocator don't always come to an end by themselves.
    os._exit(0)


def _save(numpy: Any, film: Any, kind: Any, size: tuple[int, int]) -> None:
    """Keep the picture as linear light, rows from top to bottom."""
    light = numpy.zeros((*size, 3), dtype=numpy.float32)
    film.GetOutputFloat(kind, light, 0)
    numpy.save(OUTPUT, light[::-1])


def _save_masks(numpy: Any, film: Any, kinds: tuple[Any, Any], size: tuple[int, int]) -> None:
    """Keep how much of each pixel is a thing at all, and how much of it is floor."""
    masks = numpy.zeros((2, *size), dtype=numpy.float32)
    for mask, kind in zip(masks, kinds, strict=True):
        film.GetOutputFloat(kind, mask, 0)
    numpy.save(MASKS, numpy.moveaxis(masks, 0, 2)[::-1])


def _limit() -> None:
    ctypes.CDLL(None).prctl(DIES_WITH_PARENT, signal.SIGKILL)
    os.nice(19)
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_CPU_SECONDS, MOST_CPU_SECONDS))
    resource.setrlimit(resource.RLIMIT_DATA, (MOST_DATA_BYTES, MOST_DATA_BYTES))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _say(share: float) -> None:
    sys.stdout.write(f"{min(share, 1.0):.3f}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1])
