"""Compiles the catalogues of `locale/`: what is kept under version control is the text (.po), what runs is made of it.

Every process looks once, as it starts: a fresh clone, a test run and the image need no step of their own.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po


def compile_changed(folder: Path) -> list[Path]:
    """Compile each catalogue under a folder that is newer than what was compiled of it; returns what was written."""
    texts = sorted(folder.glob("*/LC_MESSAGES/*.po"))
    return [_compiled(text) for text in texts if _is_newer(text, text.with_suffix(".mo"))]


# Private


def _is_newer(text: Path, made: Path) -> bool:
    return not made.exists() or made.stat().st_mtime_ns < text.stat().st_mtime_ns


def _compiled(text: Path) -> Path:
    """Written beside it and moved into its place: processes that start together each find a whole one."""
    with text.open("rb") as source:
        catalogue = read_po(source)
    handle, name = tempfile.mkstemp(dir=text.parent, suffix=".part")
    with os.fdopen(handle, "wb") as part:
        write_mo(part, catalogue)
    Path(name).chmod(0o644)
    return Path(name).replace(text.with_suffix(".mo"))
