"""Rendering in a child process with limits: scene files go in, pictures come out."""

from __future__ import annotations

import importlib.util
import io
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import Timer
from typing import Final

import numpy as np
from PIL import Image

from quoting.craft.still.backdrop import composed
from quoting.craft.still.camera import EDGE
from quoting.craft.still.engine import MASKS, OUTPUT, SAMPLES_ASIDE, engine_settings
from quoting.craft.still.exposure import developed
from quoting.craft.still.scene_file import SCENE_FILE, StillFiles
from quoting.craft.still.still import Look
from studio.trade.ranges import FloatArray

CHILD: Final = Path(__file__).with_name("render_child.py")
MOST_SECONDS: Final = 540
SMALL_PX: Final = 800
QUALITY: Final = 86
LAST_WORDS: Final = 600

Progress = Callable[[float], None]


class NotRendered(Exception):
    """The renderer ended without a picture; the text says how."""


@dataclass(frozen=True, slots=True)
class Rendered:
    """A picture as JPEG, and a smaller one for phones."""

    large: bytes
    small: bytes


def is_installed() -> bool:
    """Whether this server has the renderer, ``requirements/render.txt``."""
    return importlib.util.find_spec("pyluxcore") is not None


def rendered(
    files: StillFiles,
    look: Look,
    progress: Progress,
    *,
    samples_aside: int = SAMPLES_ASIDE,
    behind: FloatArray | None = None,
) -> Rendered:
    """Render a scene; ``progress`` is told the share that is done, 0 to 1. Raises :class:`NotRendered`.

    ``behind``: where the look has a backdrop, the part of the photo that is seen, in the picture's pixels.
    It takes a minute or two of all cores at the lowest priority. If this process dies the child dies with it.
    """
    with tempfile.TemporaryDirectory(prefix="still-") as name:
        folder = Path(name)
        (folder / SCENE_FILE).write_text(files.text, encoding="utf-8")
        for part, content in files.parts.items():
            (folder / part).write_bytes(content)
        (folder / "engine.cfg").write_text(
            engine_settings(look, samples_aside=samples_aside), encoding="utf-8"
        )
        words = _run(folder, progress)
        picture = folder / OUTPUT
        if not picture.exists():
            raise NotRendered(words or "It ended without a word.")
        return _pictures(_whole(folder, look, behind))


# Private


def _run(folder: Path, progress: Progress) -> str:
    """Run the child to its end, one way or the other; its last words."""
    with (folder / "errors.txt").open("w+", encoding="utf-8", errors="replace") as errors:
        child = subprocess.Popen(  # noqa: S603 # Our own program, no shell.
            [sys.executable, "-I", str(CHILD), str(folder)],
            stdout=subprocess.PIPE,
            stderr=errors,
            text=True,
            start_new_session=True,
        )
        with _ended(child):
            for line in child.stdout or ():
                if share := _share(line):
                    progress(share)
            child.wait()
        errors.seek(0)
        said = errors.read()[-LAST_WORDS:].strip()
    return f"It ended with {child.returncode}. {said}"


@contextmanager
def _ended(child: subprocess.Popen[str]) -> Iterator[None]:
    """Whatever happens, the child is gone afterwards; so it is after :data:`MOST_SECONDS`."""
    clock = Timer(MOST_SECONDS, child.kill)
    clock.start()
    try:
        yield
    finally:
        clock.cancel()
        child.kill()
        child.wait()
        if child.stdout:
            child.stdout.close()


def _share(line: str) -> float | None:
    """The share that the child says is done; the renderer prints lines of its own between."""
    try:
        return float(line)
    except ValueError:
        return None


def _whole(folder: Path, look: Look, behind: FloatArray | None) -> FloatArray:
    """The picture, sRGB from 0 to 1, without the edge that was only for the denoiser."""
    light = _without_edge(np.load(folder / OUTPUT))
    if look.backdrop is None or behind is None:
        return developed(light)
    return composed(light, _without_edge(np.load(folder / MASKS)), behind, look.backdrop.light)


def _without_edge(pixels: FloatArray) -> FloatArray:
    return pixels[EDGE:-EDGE, EDGE:-EDGE]


def _pictures(picture: FloatArray) -> Rendered:
    whole = Image.fromarray(np.round(picture * 255).astype(np.uint8), "RGB")
    small = whole.resize((SMALL_PX, round(SMALL_PX * whole.height / whole.width)), Image.Resampling.LANCZOS)
    return Rendered(_jpeg(whole), _jpeg(small))


def _jpeg(picture: Image.Image) -> bytes:
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=QUALITY, optimize=True, progressive=True)
    return out.getvalue()
