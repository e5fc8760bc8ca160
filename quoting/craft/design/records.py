"""The design of a set piece: frozen records, as read from a design file (JSON, metres, kilograms, seconds).

Axes: x to the viewer's right, y up from the floor, z towards the viewer. ``x_m`` of a frame is its centre
line.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from quoting.craft.design.schema import (
    a_code,
    a_colour,
    a_flag,
    a_number,
    a_part,
    a_text,
    a_whole,
    number_list,
    one_of,
    pair_list,
    part_list,
    text_list,
)
from quoting.craft.design.things import (
    CARRIED_KG,
    FINISHES,
    FLORAL_LOOKS,
    Foil,
    Lettering,
    Prop,
    Round,
    Spray,
)

# Settings of the format. Sizes in which latex rounds are sold: common practice, no source.
VERSION = 2
MOST_BALLOONS = 8000
MOST_TIES = 200
USUAL_FULLNESS: Final = 0.92
MOST_FULL: Final = 0.97
ROUND_SIZES_IN: Final = (5, 7, 9, 10, 11, 12, 14, 16, 17, 18, 24, 30, 36)

FRAME_SHAPES = (
    "arch-top",
    "rectangle",
    "ring",
    "part-ring",
    "half-arch",
    "panel",
    "column",
    "free",
    "polygon",
)
SOLID_SHAPES: Final = ("panel", "column")
FILLINGS = ("none", "ladder", "grid", "shimmer")
LEG_KINDS = ("along", "hang", "pool", "wind", "through")
SIDES = ("edge", "inside", "outside", "wrapped")
ROLES = ("body", "round", "accent", "filler")
PATTERNS = ("scatter", "ombre", "bands", "clusters", "spiral")
DRAWN = "drawn"
WALL_PATTERNS = (*PATTERNS, DRAWN)
ZONED = "zones"
GARLAND_PATTERNS = (*PATTERNS, ZONED)
MOST_ZONES = 40  # setting of the format
MOST_CARRIED: Final = 6  # setting of the format: images that a file carries
FLORAL_KINDS = ("greenery", "pick", "spray")
FITS: Final = ("cover", "contain")
USUAL_BLEED_M: Final = 0.05
"""Of a print beyond the face on every side, to be folded round the tube. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Where the set piece stands: clear space, door, wall, climate."""

    width_m: float = a_number(0.1, 60, "clear width for the set piece [m]", 6.0)
    height_m: float = a_number(0.1, 20, "clear height for the set piece [m]", 3.0)
    depth_m: float = a_number(0.1, 20, "clear depth for the set piece [m]", 1.5)
    ceiling_m: float = a_number(1.5, 30, "height of the ceiling [m]", 3.35)
    door_width_m: float = a_number(0.4, 10, "narrowest door on the way in [m]", 0.9)
    door_height_m: float = a_number(1.0, 10, "lowest door on the way in [m]", 2.0)
    door_x_m: float | None = a_number(
        -30, 30, "middle of a door in the wall behind, to the viewer's right of the origin [m]; null: none there",
        None, optional=True,
    )  # fmt: skip
    wall_gap_m: float = a_number(0.0, 10, "gap from the rearmost frame to the wall behind [m]", 0.4)
    outdoors: bool = a_flag("true where wind can reach the piece", False)
    gust_m_s: float = a_number(0, 60, "gust to be judged, outdoors [m/s]", 0.0)
    temperature_c: float = a_number(-20, 50, "air temperature at the site [deg C]", 20.0)
    altitude_m: float = a_number(-400, 4500, "height of the site above sea level [m]", 0.0)
    carry_m: float = a_number(0, 2000, "way on foot from the van to the set piece [m]", 30.0)
    steps: int = a_whole(0, 2000, "steps of stairs on that way", 0)
    lift: bool = a_flag("true where a lift takes the loads past the steps", False)
    prep_temperature_c: float = a_number(-20, 50, "air temperature in the studio [deg C]", 20.0)
    prep_altitude_m: float = a_number(-400, 4500, "height of the studio above sea level [m]", 0.0)

    @property
    def judged_gust_m_s(self) -> float:
        """The gust that everything here is held for; 0 indoors."""
        return self.gust_m_s if self.outdoors else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PaletteColour:
    """One colour of the palette and its share of the balloons."""

    colour: str = a_code("a colour code, lower-case letters, digits and hyphens")
    name: str = a_text("the colour's plain name", longest=40, least=1)
    hex: str = a_colour("an sRGB colour such as #EFE6D6")
    share: float = a_number(0, 1, "share of the balloons, 0 to 1; all shares add up to 1")
    finish: str = one_of(FINISHES, "how the latex looks; double-stuffed: one balloon within another", "plain")
    inner: str = a_code("double-stuffed: code of the inner balloon's colour", "")
    inner_name: str = a_text(
        "double-stuffed: the inner colour's name, where the palette lacks it", "", longest=40
    )
    inner_hex: str = a_colour("double-stuffed: the inner sRGB colour, where the palette lacks it", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bag:
    """How many balloons of one nominal size come in a bag."""

    size_in: int = a_whole(5, 36, "nominal size in inches")
    pieces: int = a_whole(1, 1000, "balloons in a bag")


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """The stretch fabric sleeve over a frame."""

    item: str = a_code("the cover's item code")
    label: str = a_text("the cover's name on lists", longest=80, least=1)
    colour: str = a_text("the cover's colour in words", longest=40)
    hex: str = a_colour("an sRGB colour such as #C9CDB9")
    stretch: float = a_number(0, 1, "how much the fabric gives, as a share of its size", 0.1)


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverPrint:
    """An image printed on a frame's cover, known by the digest of its file."""

    digest: str = a_text(
        "SHA-256 of the image's file, hexadecimal", longest=64, least=64, pattern="[0-9a-f]{64}"
    )
    aspect: float = a_number(0.05, 20, "width of the image by its height")
    fit: str = one_of(FITS, "cover: fills the cloth with its bleed; contain: all of it is seen", "cover")
    bleed_m: float = a_number(0, 0.3, "what is printed beyond the face on every side [m]", USUAL_BLEED_M)
    x_share: float = a_number(0, 1, "where what is left over sideways goes: 0 image flush left, 1 right", 0.5)
    y_share: float = a_number(0, 1, "where what is left over in height goes: 0 image flush with the top", 0.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnedSize:
    """A size in which the studio owns a frame; scaling chooses among these."""

    item: str = a_code("the frame's item code")
    label: str = a_text("the frame's name on lists", longest=80, least=1)
    width_m: float = a_number(0.02, 12, "width [m]")
    height_m: float = a_number(0.1, 8, "height [m]")
    weight_kg: float = a_number(0, 500, "weight with feet [kg]", 6.0)
    cover_item: str = a_code("item code of the cover that fits; empty: the frame's own cover is scaled", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A frame in the wall plane."""

    id: str = a_code("a short code by which routes name this frame")
    shape: str = one_of(FRAME_SHAPES, "outline of the frame")
    item: str = a_code("the frame's item code")
    label: str = a_text("the frame's name on lists", longest=80, least=1)
    width_m: float = a_number(0.02, 12, "outside width [m]")
    height_m: float = a_number(0.1, 8, "outside height [m]")
    x_m: float = a_number(-30, 30, "centre line, to the viewer's right of the origin [m]", 0.0)
    z_m: float = a_number(-10, 10, "plane of the frame, towards the viewer [m]", 0.0)
    base_m: float = a_number(0, 8, "lower edge above the floor [m]", 0.0)
    tube_m: float = a_number(0.005, 0.2, "outside diameter of the tube [m]", 0.025)
    weight_kg: float = a_number(0, 500, "weight with feet [kg]", 6.0)
    foot_depth_m: float = a_number(0, 4, "depth of the feet on the floor [m]", 0.45)
    start_deg: float = a_number(-360, 720, "part-ring: where it starts, clockwise from the foot [deg]", 0.0)
    end_deg: float = a_number(-360, 720, "part-ring: where it ends, clockwise from the foot [deg]", 270.0)
    sides: int = a_whole(3, 12, "polygon: how many sides", 6)
    filling: str = one_of(FILLINGS, "what fills it: rungs, a grid, or shimmering panels", "none")
    turned: bool = a_flag("built as its mirror image, the outline beginning at the other foot", False)
    points: tuple[tuple[float, float], ...] = pair_list(
        "free outline: points [x, y] from x_m, base_m [m]", 0, 200, ()
    )
    cover: Cover | None = a_part(Cover, "the cover, or null", None, optional=True)
    cover_print: CoverPrint | None = a_part(
        CoverPrint, "what is printed on the cover, or null", None, optional=True
    )
    sizes: tuple[OwnedSize, ...] = part_list(
        OwnedSize, "sizes owned; none: the frame is made to measure", 0, 40, ()
    )

    @property
    def is_filled(self) -> bool:
        """Whether cloth, a board or shimmering panels close it; a column has no face."""
        closed = self.cover is not None or self.shape == "panel" or self.filling == "shimmer"
        return closed and self.shape != "column"

    @property
    def takes_words(self) -> bool:
        """Whether words stick to it: to cloth, a board or a pillar."""
        return self.cover is not None or self.shape in SOLID_SHAPES

    @property
    def is_brought(self) -> bool:
        """Whether it comes with the van; what is too heavy for that stands at the venue already."""
        return self.weight_kg <= CARRIED_KG


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One stretch of a garland's route. Legs are joined by smooth hops in the order given."""

    kind: str = one_of(LEG_KINDS, "how this stretch runs")
    frame: str = a_code("id of the frame that is followed or wound", "")
    start: float = a_number(0, 1, "along, wind: where on the outline it begins, 0 to 1", 0.0)
    end: float = a_number(0, 1, "along, wind: where on the outline it ends, 0 to 1", 1.0)
    side: str = one_of(SIDES, "along: on which side of the outline", "edge")
    turns: float = a_number(0, 40, "wind, wrapped: turns around the frame", 2.0)
    length_m: float = a_number(0, 30, "pool: length on the floor [m]", 0.0)
    direction: str = one_of(("left", "right"), "pool: to which side of the viewer", "right")
    sag_m: float = a_number(0, 8, "hang: how far the middle hangs below the chord [m]", 0.3)
    points: tuple[tuple[float, float], ...] = pair_list(
        "hang: two ends; through: the points [x, y] [m]", 0, 200, ()
    )
    depths: tuple[float, ...] = number_list(
        -10, 10, "through: depth of each point, towards the viewer [m]; none: as its neighbours", 200, ()
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class MixEntry:
    """One size of balloon in a garland and the part it plays."""

    size_in: int = a_whole(5, 36, "nominal size in inches: " + ", ".join(map(str, ROUND_SIZES_IN)))
    role: str = one_of(
        ROLES, "body: the quads; round: bigger, within quads; accent: tied on; filler: closes gaps"
    )
    sized_low_m: float = a_number(0.03, 0.95, "smallest sized diameter [m]")
    sized_high_m: float = a_number(0.03, 0.95, "largest sized diameter [m]")
    share: float = a_number(0, 1, "body, round: share of the balloons in quads", 0.0)
    spacing_m: float = a_number(0.1, 30, "accent: one for every so many metres of route [m]", 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A stretch of a garland in one colour."""

    colour: str = a_code("a colour code of the palette")
    share: float = a_number(0.001, 1, "share of the garland's length; all zones add up to 1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Garland:
    """Balloons on a string along a route."""

    id: str = a_code("a short code")
    label: str = a_text("the garland's name on lists", "Garland", longest=80, least=1)
    work: str = one_of(
        ("organic", "classic"), "organic: sizes mixed; classic: one size, packed regularly", "organic"
    )
    cluster: str = one_of(("quad", "triplet", "pair"), "balloons tied together in one layer", "quad")
    route: tuple[Leg, ...] = part_list(Leg, "the legs of the route, in order", 1, 40)
    mix: tuple[MixEntry, ...] = part_list(MixEntry, "sizes and their parts", 1, 20)
    pitch: float = a_number(
        0.55, 1.0, "organic: distance of layers as a share of the mean sized diameter", 0.76
    )
    fullness: float = a_number(0, MOST_FULL, "share of the visible envelope to be covered", USUAL_FULLNESS)
    fillers: int | None = a_whole(
        0, 2000, "how many fillers; null: as many as the fullness takes", None, optional=True
    )
    strung: float | None = a_number(
        0,
        1,
        "share of the quads and big rounds that is strung; null: as the fullness takes",
        None,
        optional=True,
    )
    fullest: float | None = a_number(
        0, 1, "how full it gets as it was chosen; null: as measured", None, optional=True
    )
    profile: tuple[tuple[float, float], ...] = pair_list(
        "thickness along the route: [fraction 0 to 1, factor 0.5 to 1.8]", 0, 40, ()
    )
    pattern: str = one_of(GARLAND_PATTERNS, "how colours are laid", "scatter")
    bands: int = a_whole(1, 60, "bands, clusters: how many along the route", 6)
    zones: tuple[Zone, ...] = part_list(
        Zone, "zones: stretches of one colour each, in order", 0, MOST_ZONES, ()
    )
    recipes: int = a_whole(0, 60, "most different quads the crew is asked to make; 0: automatic", 12)
    ties: tuple[float, ...] = number_list(
        0, 1, "tie points by hand: fractions of its length, in order; none: as worked out", MOST_TIES, ()
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """A classic wall: columns of one size side by side, nested into each other."""

    id: str = a_code("a short code")
    label: str = a_text("the wall's name on lists", "Balloon wall", longest=80, least=1)
    width_m: float = a_number(0.2, 20, "width [m]")
    height_m: float = a_number(0.2, 8, "height [m]")
    x_m: float = a_number(-30, 30, "centre line [m]", 0.0)
    z_m: float = a_number(-10, 10, "plane of its middle, towards the viewer [m]", 0.0)
    size_in: int = a_whole(5, 36, "nominal size in inches")
    sized_m: float = a_number(0.03, 0.95, "sized diameter [m]")
    cluster: str = one_of(("quad", "triplet", "pair"), "balloons tied together in one layer", "quad")
    pattern: str = one_of(WALL_PATTERNS, "how colours are laid", "scatter")
    bands: int = a_whole(1, 60, "bands, clusters, spiral: how many over the height", 4)
    recipes: int = a_whole(0, 60, "most different quads wished for; 0: automatic", 12)
    grid: tuple[str, ...] = text_list(
        "drawn: a row of characters for each row of balloons, from the top; each a colour's place, 0 to f",
        120,
        longest=240,
        pattern="[0-9a-f]+",
        default=(),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bouquet:
    """Helium balloons on ribbons over one weight."""

    id: str = a_code("a short code")
    label: str = a_text("the bouquet's name on lists", "Bouquet", longest=80, least=1)
    count: int = a_whole(1, 200, "how many balloons")
    size_in: int = a_whole(9, 36, "nominal size in inches")
    sized_m: float = a_number(0.2, 0.95, "sized diameter [m]")
    x_m: float = a_number(-30, 30, "where its weight stands [m]", 0.0)
    z_m: float = a_number(-10, 10, "where its weight stands, towards the viewer [m]", 0.0)
    top_m: float = a_number(0.5, 15, "height of its top above the floor [m]", 2.2)
    skin_g: float = a_number(0.5, 60, "weight of one empty balloon [g]", 2.8)


@dataclass(frozen=True, slots=True, kw_only=True)
class Floral:
    """Greenery by the length, picks and sprays by the piece, for every garland of the design."""

    kind: str = one_of(FLORAL_KINDS, "greenery, pick or spray")
    item: str = a_code("the item code")
    label: str = a_text("the name on lists", longest=80, least=1)
    hex: str = a_colour("an sRGB colour such as #7E9A78")
    share: float = a_number(0, 2, "greenery: share of the route that it accompanies", 0.0)
    piece_m: float = a_number(0.1, 10, "greenery: length of one piece as stocked [m]", 1.8)
    spacing_m: float = a_number(0.05, 30, "pick, spray: one for every so many metres of route [m]", 0.5)
    look: str = one_of(FLORAL_LOOKS, "pick, spray: how it is drawn", "leaf")
    size_m: float = a_number(
        0.02, 1.5, "length of a leaf (greenery) or of a piece as seen (pick, spray) [m]", 0.08
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """A sign that hangs before a frame or stands on the floor."""

    id: str = a_code("a short code", "sign")
    item: str = a_code("the sign's item code")
    label: str = a_text("the sign's name on lists", longest=80, least=1)
    text: str = a_text("what the sign says", longest=60, least=1)
    width_m: float = a_number(0.05, 6, "width [m]")
    height_m: float = a_number(0.02, 4, "height [m]")
    x_m: float = a_number(-30, 30, "centre [m]")
    y_m: float = a_number(0, 15, "centre above the floor [m]")
    frame: str = a_code("id of the frame it hangs from; empty: it stands by itself", "")
    weight_kg: float = a_number(0, 100, "weight [kg]", 0.6)
    lit: bool = a_flag("true for a light sign", False)
    hex: str = a_colour("an sRGB colour such as #B8481F", "#1D2528")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """Rates of work, each the time of one person; MODEL.md has the range and the source of every default."""

    inflate_s: float = a_number(0, 600, "inflate and size one round up to 12 in [s]", 14.0)
    inflate_big_s: float = a_number(0, 1200, "inflate and size one bigger round [s]", 45.0)
    stuff_s: float = a_number(0, 600, "push one empty balloon into another [s]", 25.0)
    tie_s: float = a_number(0, 600, "tie one balloon into its pair or quad [s]", 7.0)
    string_s: float = a_number(0, 600, "set one quad on the string [s]", 20.0)
    filler_s: float = a_number(0, 1200, "make up one filler of eight [s]", 90.0)
    frame_s: float = a_number(0, 7200, "set up one frame [s]", 450.0)
    cover_s: float = a_number(0, 3600, "dress one cover and smooth it [s]", 300.0)
    tie_point_s: float = a_number(0, 1200, "one clip with its tail and the garland tied to it [s]", 90.0)
    hang_quad_s: float = a_number(0, 600, "bring one quad's worth of garland to its place [s]", 60.0)
    place_filler_s: float = a_number(0, 1200, "wrap one filler into its gap [s]", 60.0)
    accent_s: float = a_number(0, 1200, "tie on one big round [s]", 90.0)
    foil_s: float = a_number(0, 1200, "fill and close one foil balloon [s]", 60.0)
    place_foil_s: float = a_number(
        0, 1800, "tie on or set one foil balloon, turned as it should be [s]", 150.0
    )
    prop_s: float = a_number(0, 7200, "set up one prop in its place [s]", 180.0)
    greenery_s: float = a_number(0, 3600, "weave one metre of greenery [s]", 75.0)
    lettering_s: float = a_number(0, 7200, "put on one line of words, levelled [s]", 480.0)
    pick_s: float = a_number(0, 600, "set one pick or spray [s]", 25.0)
    sign_s: float = a_number(0, 7200, "hang one sign [s]", 900.0)
    strike_balloon_s: float = a_number(0, 600, "take down and burst one balloon [s]", 4.0)
    strike_frame_s: float = a_number(0, 7200, "strip, take apart and pack one frame [s]", 300.0)
    strike_prop_s: float = a_number(0, 3600, "clean and wrap one prop [s]", 90.0)
    load_s: float = a_number(0, 1200, "take one load from the van and set it down in the room [s]", 40.0)
    walk_m_s: float = a_number(0.2, 2, "walking with a load or back for the next one [m/s]", 1.07)
    step_s: float = a_number(0, 20, "one step of a stair, up or down [s]", 0.7)
    lift_s: float = a_number(0, 1800, "one ride in a lift with the wait for it [s]", 60.0)
    wash_cover_s: float = a_number(0, 14400, "wash, hang up, press and fold one cover [s]", 1200.0)
    crew: int = a_whole(1, 30, "people at the install", 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """What a design was before it was scaled, and the size that was asked for."""

    width_m: float = a_number(0.2, 60, "width asked for [m]")
    height_m: float = a_number(0.2, 20, "height asked for [m]")
    frames: tuple[Frame, ...] = part_list(Frame, "its frames", 0, 20, ())
    garlands: tuple[Garland, ...] = part_list(Garland, "its garlands", 0, 12, ())
    walls: tuple[Wall, ...] = part_list(Wall, "its walls", 0, 12, ())
    bouquets: tuple[Bouquet, ...] = part_list(Bouquet, "its bouquets", 0, 24, ())
    signs: tuple[Sign, ...] = part_list(Sign, "its signs", 0, 8, ())
    rounds: tuple[Round, ...] = part_list(Round, "its single rounds", 0, 60, ())
    foils: tuple[Foil, ...] = part_list(Foil, "its foil balloons", 0, 24, ())
    props: tuple[Prop, ...] = part_list(Prop, "its props", 0, 40, ())
    letterings: tuple[Lettering, ...] = part_list(Lettering, "its letterings", 0, 12, ())
    sprays: tuple[Spray, ...] = part_list(Spray, "its placed florals", 0, 200, ())


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedImage:
    """An image that a design file carries for its printed covers; a design that is kept names it alone."""

    digest: str = a_text("the digest by which covers name it", longest=64, least=64, pattern="[0-9a-f]{64}")
    name: str = a_text("what it is called", "", longest=120)
    jpeg: str = a_text(
        "a small copy as JPEG, base64", longest=60_000, least=4, pattern="[A-Za-z0-9+/]+={0,2}"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """A set piece as designed: everything the take-off needs."""

    version: int = a_whole(VERSION, VERSION, "version of this file format")
    name: str = a_text("the design's name", longest=120, least=1)
    note: str = a_text("a sentence for whoever chooses among designs", "", longest=400)
    tags: tuple[str, ...] = text_list(
        "words to find it by, such as an occasion", 12, longest=30, pattern=r"\S(.*\S)?", default=()
    )
    mirrored: bool = a_flag("built as the mirror image of what the seed gives", False)
    seed: int = a_whole(0, 2**31 - 1, "which of the many equal arrangements is built", 1)
    site: Site = a_part(Site, "where it stands", Site())
    palette: tuple[PaletteColour, ...] = part_list(PaletteColour, "colours and their shares", 1, 16)
    frames: tuple[Frame, ...] = part_list(Frame, "the frames, in any order", 0, 20, ())
    garlands: tuple[Garland, ...] = part_list(Garland, "the garlands", 0, 12, ())
    walls: tuple[Wall, ...] = part_list(Wall, "classic balloon walls", 0, 12, ())
    bouquets: tuple[Bouquet, ...] = part_list(Bouquet, "helium bouquets", 0, 24, ())
    florals: tuple[Floral, ...] = part_list(Floral, "greenery, picks and sprays", 0, 12, ())
    signs: tuple[Sign, ...] = part_list(Sign, "the signs", 0, 8, ())
    rounds: tuple[Round, ...] = part_list(Round, "rounds by themselves", 0, 60, ())
    foils: tuple[Foil, ...] = part_list(Foil, "foil balloons", 0, 24, ())
    props: tuple[Prop, ...] = part_list(Prop, "furniture and other objects", 0, 40, ())
    letterings: tuple[Lettering, ...] = part_list(Lettering, "words on covered frames", 0, 12, ())
    sprays: tuple[Spray, ...] = part_list(Spray, "picks and sprays with a place of their own", 0, 200, ())
    loss: float = a_number(
        0, 0.5, "share of the balloons brought that is lost while inflating and on the way", 0.07
    )
    service: float = a_number(0.5, 0.999, "chance that spares replace every balloon that is lost", 0.9)
    bags: tuple[Bag, ...] = part_list(Bag, "bags that latex comes in; others: as usual", 0, 20, ())
    rates: Rates = a_part(Rates, "rates of work", Rates())
    chosen: Chosen | None = a_part(Chosen, "what it was scaled from, or null", None, optional=True)
    images: tuple[CarriedImage, ...] = part_list(
        CarriedImage, "images of its printed covers, in a file only", 0, MOST_CARRIED, ()
    )

    @property
    def brought_frames(self) -> tuple[Frame, ...]:
        """The frames that come with the van."""
        return tuple(frame for frame in self.frames if frame.is_brought)

    @property
    def brought_props(self) -> tuple[Prop, ...]:
        """The props that come with the van."""
        return tuple(prop for prop in self.props if prop.is_brought)

    def frame(self, name: str) -> Frame | None:
        """The frame with this id, if there is one."""
        return next((frame for frame in self.frames if frame.id == name), None)

    @property
    def sign(self) -> Sign | None:
        """The first sign, for what asks for one."""
        return self.signs[0] if self.signs else None
