"""Single things of a set piece, each placed by itself: rounds, foil balloons, props, letterings and florals.

Axes as in the design: x to the viewer's right, y up from the floor, z towards the viewer. Places are of the middle.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from quoting.craft.design.schema import a_code, a_colour, a_number, a_reference, a_text, a_whole, one_of
from studio.trade.packing import travelling_box

CARRIED_KG: Final = 100.0
"""What is heavier isn't brought: it stands at the venue, as a pillar does. Common practice, no source."""
GASES = ("air", "helium")
CONFETTI, DOUBLE_STUFFED = "confetti", "double-stuffed"
FINISHES = ("plain", "pearl", "metallic", "mirror", "crystal", CONFETTI, DOUBLE_STUFFED)
FOIL_FINISHES = ("plain", "pearl", "metallic", "mirror")
FOIL_SHAPES = ("glyphs", "star", "heart", "disc", "crescent")
PROP_LOOKS = ("plinth", "box", "table", "chair", "easel", "rug", "candle", "backdrop", "balloon-stand")
FONTS = ("serif", "sans")
SPRAY_KINDS = ("pick", "spray")
FLORAL_LOOKS = ("leaf", "bloom", "plume")
MOST_GLYPHS = 12  # setting of the format


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """One round balloon by itself: on a frame, on the floor, or on a ribbon with helium in it."""

    id: str = a_code("a short code")
    label: str = a_text("the round's name on lists", "Big round", longest=80, least=1)
    size_in: int = a_whole(5, 36, "nominal size in inches")
    sized_m: float = a_number(0.03, 0.95, "sized diameter [m]")
    colour: str = a_code("a colour code of the palette")
    x_m: float = a_number(-30, 30, "its middle [m]")
    y_m: float = a_number(0, 15, "its middle above the floor [m]")
    z_m: float = a_number(-10, 10, "its middle, towards the viewer [m]", 0.0)
    gas: str = one_of(GASES, "what it holds", "air")
    frame: str = a_code("id of the frame that it is tied to; empty: none", "")
    on_top: str = a_reference(
        "what it stands on top of: a column's pole, frame:id, or a prop, prop:id; empty: none"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Foil:
    """One foil balloon, or a row of foil letters and digits, each a balloon of its own."""

    id: str = a_code("a short code")
    item: str = a_code("the item code; each letter and digit adds its own sign to it")
    label: str = a_text("the name on lists", longest=80, least=1)
    shape: str = one_of(FOIL_SHAPES, "what it shows")
    text: str = a_text(
        "glyphs: letters and digits, one balloon each", "", longest=MOST_GLYPHS, pattern="[A-Za-z0-9]*"
    )
    flat_m: float = a_number(0.1, 2.0, "height of one balloon lying flat, without gas [m]")
    hex: str = a_colour("an sRGB colour such as #D9B45B")
    finish: str = one_of(FOIL_FINISHES, "how its skin shines", "metallic")
    x_m: float = a_number(-30, 30, "middle of the whole [m]")
    y_m: float = a_number(0, 15, "middle of the whole above the floor [m]")
    z_m: float = a_number(-10, 10, "its middle, towards the viewer [m]", 0.0)
    turn_deg: float = a_number(-180, 180, "turned clockwise as seen by the viewer [deg]", 0.0)
    gas: str = one_of(GASES, "what it holds", "air")
    on_top: str = a_reference(
        "what it stands on top of: a column's pole, frame:id, or a prop, prop:id; empty: none"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Prop:
    """A piece of furniture or another object that stands with the set piece."""

    id: str = a_code("a short code")
    item: str = a_code("the item code")
    label: str = a_text("the name on lists", longest=80, least=1)
    look: str = one_of(PROP_LOOKS, "what it is, and how it is drawn")
    width_m: float = a_number(0.02, 6, "width [m]")
    height_m: float = a_number(0.005, 4, "height [m]")
    depth_m: float = a_number(0.005, 6, "depth [m]")
    x_m: float = a_number(-30, 30, "middle [m]", 0.0)
    base_m: float = a_number(0, 8, "its underside above the floor [m]", 0.0)
    z_m: float = a_number(-10, 10, "middle, towards the viewer [m]", 0.0)
    weight_kg: float = a_number(0, 200, "weight [kg]", 5.0)
    hex: str = a_colour("an sRGB colour such as #F4EFE6", "#F4EFE6")

    @property
    def is_brought(self) -> bool:
        """Whether it comes with the van; what is too heavy for that stands at the venue already."""
        return self.weight_kg <= CARRIED_KG

    @property
    def packed_m(self) -> tuple[float, float, float]:
        """The box that it travels in [m]."""
        return travelling_box(self.look, self.width_m, self.height_m, self.depth_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lettering:
    """Words put on a covered frame or a board."""

    id: str = a_code("a short code")
    text: str = a_text("the words", longest=60, least=1)
    font: str = one_of(FONTS, "letters with or without serifs", "serif")
    height_m: float = a_number(0.01, 1.5, "height of a capital letter [m]")
    hex: str = a_colour("an sRGB colour such as #B8863B", "#1D2528")
    x_m: float = a_number(-30, 30, "middle of the words [m]")
    y_m: float = a_number(0, 15, "middle of a capital letter above the floor [m]")
    frame: str = a_code("id of the covered frame or board that it is put on")


@dataclass(frozen=True, slots=True, kw_only=True)
class Spray:
    """One pick or spray of florals with a place of its own."""

    id: str = a_code("a short code")
    item: str = a_code("the item code")
    label: str = a_text("the name on lists", longest=80, least=1)
    kind: str = one_of(SPRAY_KINDS, "pick: one stem; spray: a branch of several", "spray")
    hex: str = a_colour("an sRGB colour such as #7E9A78")
    look: str = one_of(FLORAL_LOOKS, "how it is drawn", "leaf")
    size_m: float = a_number(0.02, 1.5, "length as seen [m]", 0.3)
    x_m: float = a_number(-30, 30, "its middle [m]")
    y_m: float = a_number(0, 15, "its middle above the floor [m]")
    z_m: float = a_number(-10, 10, "its middle, towards the viewer [m]", 0.1)
    turn_deg: float = a_number(-180, 180, "turned clockwise from upright as seen by the viewer [deg]", 0.0)
