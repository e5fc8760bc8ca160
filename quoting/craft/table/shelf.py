"""What the studio can put on the table: frames by shape, covers, signs, colours, florals, props and foil balloons."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from quoting.craft.design.records import OwnedSize


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfCover:
    """A cover: what it is called and how it looks."""

    label: str
    colour: str
    hex: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfSign:
    """A sign with its size [m] and weight [kg], as usual where the shelf doesn't say."""

    label: str
    width_m: float = 0.9
    height_m: float = 0.3
    weight_kg: float = 0.6
    lit: bool = False
    hex: str = "#1D2528"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfColour:
    """A colour of latex."""

    name: str
    hex: str
    finish: str = "plain"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfFloral:
    """A pick or a spray. ``size_m``: length as seen [m]."""

    label: str
    hex: str = "#7E9A78"
    kind: str = "spray"
    look: str = "leaf"
    size_m: float = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfProp:
    """A piece of furniture or another object, with its sizes [m] and weight [kg]."""

    label: str
    look: str
    width_m: float
    height_m: float
    depth_m: float
    weight_kg: float = 5.0
    hex: str = "#F4EFE6"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfFoil:
    """A foil balloon, or a set of foil letters and digits. ``flat_m``: height lying flat [m]; ``glyphs``: which letters
    and digits the set has, in small letters."""

    label: str
    shape: str
    flat_m: float
    glyphs: str = ""
    hex: str = "#D9B45B"
    finish: str = "metallic"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfPrint:
    """An image that can be printed. ``aspect``: its width by its height."""

    label: str
    aspect: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """Everything that can be put, by item code; frames by shape, colours by colour code, images to be
    printed by their digest.

    >>> shelf = Shelf(signs={"sign-hello": ShelfSign(label="Light sign “hello”", lit=True)})
    >>> shelf.signs["sign-hello"].width_m, shelf.frame("frame-arch-7ft")
    (0.9, None)
    """

    frames: Mapping[str, tuple[OwnedSize, ...]] = field(default_factory=dict)
    covers: Mapping[str, ShelfCover] = field(default_factory=dict)
    signs: Mapping[str, ShelfSign] = field(default_factory=dict)
    colours: Mapping[str, ShelfColour] = field(default_factory=dict)
    florals: Mapping[str, ShelfFloral] = field(default_factory=dict)
    props: Mapping[str, ShelfProp] = field(default_factory=dict)
    foils: Mapping[str, ShelfFoil] = field(default_factory=dict)
    prints: Mapping[str, ShelfPrint] = field(default_factory=dict)

    def frame(self, item: str) -> tuple[str, OwnedSize] | None:
        """Shape and size of a frame by its item code; None where the studio doesn't own it."""
        found = ((shape, size) for shape, sizes in self.frames.items() for size in sizes if size.item == item)
        return next(found, None)
