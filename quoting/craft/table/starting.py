"""A design on the table at its beginning: empty, with a palette."""

from __future__ import annotations

from collections.abc import Iterable

from quoting.craft.design.records import VERSION, Design, PaletteColour, Site


def empty_design(name: str, palette: Iterable[PaletteColour], site: Site | None = None) -> Design:
    """Give a design with nothing in it. ``read_design`` reads it with ``may_be_empty``.

    >>> oat = PaletteColour(colour="oat", name="Oat", hex="#EFE6D6", share=1.0)
    >>> empty_design("Maya is six", [oat]).frames
    ()
    """
    return Design(version=VERSION, name=name, palette=tuple(palette), site=site or Site())
