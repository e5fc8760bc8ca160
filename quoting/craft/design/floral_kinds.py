"""Florals by their kind, told by their names: what a florist knows each by."""

from __future__ import annotations

import re
from typing import Final

WORDS: Final = (
    ("eucalyptus", r"eu[ck]al"),
    ("fern", r"fern|farn"),
    ("peony", r"peon|pfingstrose|p[äa]onie"),
    ("rose", r"rose"),
    ("pampas", r"pampa|plume|grass|gras\b"),
    ("ruscus", r"rus[ck]us|laurel|olive"),
    ("palm", r"palm|fan\b"),
)
"""Names by which a kind is known, in English and German."""
USUAL: Final = {"leaf": "ruscus", "bloom": "rose", "plume": "pampas"}
LOOKS: Final = {
    "leaf": ("eucalyptus", "fern", "ruscus", "palm"), "bloom": ("rose", "peony"), "plume": ("pampas",),
}  # fmt: skip


def kind_of(look: str, *names: str) -> str:
    """Tell a floral's kind by its names, among those of its look.

    >>> kind_of("leaf", "greenery-eucalyptus", "Garland 6 ft"), kind_of("bloom", "silk-1", "Peony pick")
    ('eucalyptus', 'peony')
    >>> kind_of("leaf", "green-1")
    'ruscus'
    """
    said = " ".join(names).lower()
    return next(
        (kind for kind, known in WORDS if kind in LOOKS[look] and re.search(known, said)), USUAL[look]
    )
