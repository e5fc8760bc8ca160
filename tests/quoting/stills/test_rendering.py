"""The child process that renders: what it leaves, how it may die, and that nothing of it stays."""

from __future__ import annotations

import io
import textwrap
import time
from pathlib import Path

import psutil
import pytest
from PIL import Image

from quoting.craft.still.scene_file import StillFiles
from quoting.craft.still.still import Look
from quoting.stills import rendering
from quoting.stills.rendering import NotRendered, rendered

FILES = StillFiles("scene.nothing = 1\n", {"a.ply": b"ply"})
LOOK = Look(width=160, height=125)
PAINTS = """
    import numpy
    numpy.save(f"{folder}/still.npy", numpy.full((133, 168, 3), 0.4, dtype="float32"))
"""


@pytest.fixture
def child(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    script = tmp_path / "child.py"
    monkeypatch.setattr(rendering, "CHILD", script)
    return script


def does(script: Path, body: str) -> None:
    head = "import sys, time\nfolder = sys.argv[1]\nprint('0.250', flush=True)\nprint('other words')\n"
    script.write_text(head + textwrap.dedent(body), encoding="utf-8")


def test_the_picture_is_cut_to_its_size_and_made_smaller_for_phones(child: Path) -> None:
    does(child, PAINTS)
    shares: list[float] = []
    made = rendered(FILES, LOOK, shares.append)
    assert Image.open(io.BytesIO(made.large)).size == (160, 125)
    assert Image.open(io.BytesIO(made.small)).size == (800, 625)
    assert shares == [0.25], "words that the renderer prints are no progress"


def test_a_child_that_dies_without_a_picture_is_told_with_its_last_words(child: Path) -> None:
    does(child, "sys.stderr.write('no memory left'); sys.exit(3)")
    with pytest.raises(NotRendered, match=r"ended with 3\. no memory left"):
        rendered(FILES, LOOK, lambda _: None)


def test_a_picture_counts_though_the_child_dies_on_its_way_out(child: Path) -> None:
    does(child, PAINTS + "    import os, signal; os.kill(os.getpid(), signal.SIGABRT)")
    assert rendered(FILES, LOOK, lambda _: None).large


def test_a_child_that_takes_too_long_is_ended(child: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rendering, "MOST_SECONDS", 0.5)
    does(child, "time.sleep(60)")
    began = time.monotonic()
    with pytest.raises(NotRendered):
        rendered(FILES, LOOK, lambda _: None)
    assert time.monotonic() - began < 30
    assert not left_over(child)


def test_no_child_stays_where_the_worker_is_told_to_stop(child: Path) -> None:
    does(child, "time.sleep(60)")

    def stop(_: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        rendered(FILES, LOOK, stop)
    assert not left_over(child)


def left_over(script: Path) -> list[int]:
    return [one.pid for one in psutil.process_iter(["cmdline"]) if str(script) in (one.info["cmdline"] or [])]
