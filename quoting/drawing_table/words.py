"""What the drawing table says: of each act, of what can't be done, and of why a thing stands where it stands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.records import Design
from quoting.craft.table.acted import Acted, Said, SaidCode
from quoting.craft.table.placing import label_of
from quoting.craft.table.snapping import Guide, Why
from quoting.craft.table.things import all_things, ref_of
from quoting.set_pieces import measures
from studio.models.spelling import spelled, spelled_lazy

FIELD_LABELS: Final[Mapping[tuple[str, str], str]] = {
    ("", "x_m"): "Right of the middle",
    ("", "y_m"): "Above the floor",
    ("", "z_m"): "Towards the viewer",
    ("", "width_m"): "Width",
    ("", "height_m"): "Height",
    ("", "flat_m"): "Height lying flat",
    ("", "length_m"): "Length",
    ("", "deg"): "Turned, degrees",
    ("", "item"): "Which one",
    ("", "look"): "What",
    ("", "text"): "Text",
    ("", "size_in"): "Size",
    ("", "colour"): spelled_lazy("Color"),
    ("", "index"): "Point",
    ("", "at"): "Along the garland",
    ("", "factor"): "Thickness",
    ("", "how"): "How",
    ("", "shape"): "Shape",
    ("", "word"): "Word in it",
    ("", "ceiling_m"): "Ceiling",
    ("add-point", "at"): "Another point",
    ("remove-point", "index"): "Point to remove",
    ("move-corner", "index"): "Corner",
    ("add-corner", "index"): "Another corner",
    ("remove-corner", "index"): "Corner to remove",
    ("palette", "finish"): "Finish",
    ("palette", "inner"): "Inside it",
    ("site", "width_m"): "Room width",
    ("site", "depth_m"): "Room depth",
    ("site", "door_width_m"): "Door width",
    ("site", "door_height_m"): "Door height",
    ("site", "door_x_m"): "Door in the wall behind, right of the middle",
    ("scatter", "thing"): "Along",
    ("scatter", "count"): "How many",
    ("scatter", "start"): "From",
    ("scatter", "end"): "To",
    ("", "value"): "Value",
    ("print", "image"): "Image",
    ("print", "fit"): "How it lies",
    ("print", "bleed_m"): "Bleed on every side",
    ("print", "x_share"): "From left to right",
    ("print", "y_share"): "From top to bottom",
    ("print", "upload"): "A new image",
    ("", "on_top"): "Stands on",
    ("add-tie", "station_m"): "Tie it at",
    ("move-tie", "index"): "Tie",
    ("move-tie", "station_m"): "Move it to",
    ("remove-tie", "index"): "Tie",
    ("put-foil", "shape"): "Foil balloon",
    ("put-foil", "item"): "Foil balloon of yours",
    ("put-round", "size_in"): "Big round",
    ("cover", "item"): "Cover",
    ("resize", "item"): "Size",
    ("put-frame", "item"): "Frame",
}
"""Labels of an act's fields: of one act, or of every act that has no other."""

SET_WORDS: Final[Mapping[str, str]] = {
    "fullness": "Fullness",
    "pattern": spelled_lazy("Colors along it"),
    "bands": "Repeats",
    "label": "Name",
    "text": "Text",
    "hex": spelled_lazy("Color"),
    "colour": spelled_lazy("Color"),
    "gas": "Filled with",
    "base_m": "Underside above the floor",
    "font": "Letters",
    "count": "Balloons",
    "top_m": "Height of the top",
}
"""Fields of a thing that the panel sets."""
GAS_WORDS: Final = {"air": "air", "helium": "helium"}
FONT_WORDS: Final = {"serif": "with serifs", "sans": "without serifs"}
FINISH_WORDS: Final[Mapping[str, str]] = {
    "plain": "plain",
    "pearl": "pearl",
    "metallic": "metallic",
    "mirror": "mirror, shines like metal",
    "crystal": "crystal, see-through",
    "confetti": "clear with confetti inside",
    "double-stuffed": "one balloon inside another",
}
PERCENTS: Final = frozenset({"fullness", "share", "factor", "start", "end"})
"""Fields that are shown and typed in per cent."""
END_WORDS: Final = {"pool": "pools on the floor", "hang": "hangs free", "tuck": "is tucked in"}
LOOK_WORDS: Final[Mapping[str, str]] = {
    "arch-top": "Arch",
    "rectangle": "Rectangle",
    "ring": "Ring",
    "half-arch": "Half arch",
    "panel": "Panel",
    "polygon": "Polygon",
    "free": "Any shape",
    "plinth": "Plinth",
    "box": "Box",
    "table": "Table",
    "chair": "Chair",
    "easel": "Easel",
    "rug": "Rug",
    "candle": "Candle, battery",
    "backdrop": "Backdrop",
    "balloon-stand": "Balloon stand",
    "glyphs": "Letters and digits",
    "star": "Star",
    "heart": "Heart",
    "disc": "Round",
    "crescent": "Moon",
}
"""Frames and foil balloons by their shape, and props."""

DONE: Final[Mapping[SaidCode, str]] = {
    SaidCode.PUT: "{label} added",
    SaidCode.DRAWN: "{label} drawn, {length_m}",
    SaidCode.SCATTERED: "{label}: {count} × {other} added",
    SaidCode.COPIED: "{label} copied",
    SaidCode.REMOVED: "{label} removed",
    SaidCode.MOVED: "{label} moved",
    SaidCode.DEPTH: "{label} moved forward or back",
    SaidCode.RESIZED: "{label} is {width_m} × {height_m}",
    SaidCode.TURNED: "{label} turned",
    SaidCode.MIRRORED: "{label} mirrored: what stood left stands right",
    SaidCode.COVERED: "{label} covered: {other}",
    SaidCode.UNCOVERED: "cover taken off {label}",
    SaidCode.PRINTED: "image on the cover of {label}: {other}",
    SaidCode.UNPRINTED: "image taken off the cover of {label}",
    SaidCode.CHANGED: "{label} changed",
    SaidCode.RECOLOURED: spelled_lazy("colors changed"),
    SaidCode.PLACED: "site changed",
    SaidCode.POINT_MOVED: "{label}: point moved",
    SaidCode.POINT_ADDED: "{label}: point added",
    SaidCode.POINT_REMOVED: "{label}: point removed",
    SaidCode.CORNER_MOVED: "{label}: corner moved",
    SaidCode.CORNER_ADDED: "{label}: corner added",
    SaidCode.CORNER_REMOVED: "{label}: corner removed",
    SaidCode.THICKNESS: "{label}: thickness changed",
    SaidCode.ENDED: "{label}: end changed",
    SaidCode.ON_TOP: "{label} put on top of {other}",
    SaidCode.TAKEN_OFF: "{label} taken off",
    SaidCode.ZONED: spelled_lazy("{label}: color zones set"),
    SaidCode.TIE_ADDED: "{label}: tie point added",
    SaidCode.TIE_MOVED: "{label}: tie point moved",
    SaidCode.TIE_REMOVED: "{label}: tie point removed",
    SaidCode.TIES_WORKED_OUT: "{label}: tie points worked out",
}
ALSO: Final[Mapping[SaidCode, str]] = {
    SaidCode.NEAREST_SIZE: "You own {other}, the nearest size.",
    SaidCode.MADE_TO_MEASURE: "It is made to measure: hire or make it.",
    SaidCode.FOLLOWS: "{other} moves along.",
    SaidCode.POINTS_STAY: "Points of {other} that hang free stay where they are.",
    SaidCode.HELD_BY_FRAMES: "{other} stays on its frames: move the frame, or draw it anew.",
    SaidCode.STAYS_IN_THE_AIR: "{other} keeps its line without the frame.",
    SaidCode.STANDS_BY_ITSELF: "{other} stands by itself now.",
    SaidCode.GOES_WITH_IT: "{other} was removed with it.",
    SaidCode.TIED_TO_FRAME: "It is made fast to {other}.",
    SaidCode.TIED_TO_WALL: "It is made fast to the wall with a clip.",
    SaidCode.TIED_TO_CEILING: "It hangs from the ceiling by a line of its own.",
    SaidCode.TIED_TO_NOTHING: "Nothing is near to make it fast to.",
    SaidCode.OFF_THE_FRAME: "That point is off the frame {other} now.",
    SaidCode.POOLS: "It pools on the floor there.",
    SaidCode.ON_FRAME: "It goes to {other} there.",
    SaidCode.OFF_THE_FLOOR: "It hangs free there.",
}
WHY: Final[Mapping[Why, str]] = {
    Why.FLOOR: "on the floor",
    Why.LEVEL: "level with {other}",
    Why.ON_TOP: "on {other}",
    Why.MIDDLE: "in the middle",
    Why.CENTRE: "centered on {other}",
    Why.EDGE: "flush with {other}",
    Why.BESIDE: "beside {other}",
    Why.NESTED: "nested with {other}",
    Why.TOP: "as high as {other}",
}
FAULTS: Final[Mapping[FaultCode, str]] = {
    FaultCode.MISSING_FIELD: "Fill this in.",
    FaultCode.NOT_IN_PIECE: "That is not on the table any more.",
    FaultCode.NOT_OWNED: "That is not in your stock list.",
    FaultCode.FRAMES_IN_ONE_PLACE: "This frame would run through {found}. Move it sideways, forward or back.",
    FaultCode.ROUTE_TOO_SHORT: "That line is too short for a garland. Draw a longer one.",
    FaultCode.ROUTE_TOO_LONG: "That line is too long for one garland. Draw two.",
    FaultCode.TOO_MANY_BALLOONS: "That takes too many balloons for one design.",
    FaultCode.SHARES_TOTAL: "The shares must add up to 100 %.",
    FaultCode.CARRIES_SOMETHING: "{what} hangs on it.",
    FaultCode.UNKNOWN_ACT: "That can't be done here.",
    FaultCode.NOT_FOR_THIS: "That can't be done with this.",
    FaultCode.TOO_MANY_THINGS: "That is one too many for one design.",
    FaultCode.NO_SUCH_POINT: "It has no such point.",
    FaultCode.NO_SUCH_CORNER: "It has no such corner.",
    FaultCode.LAST_CORNERS: "The frame needs its last two corners. Remove the frame instead.",
    FaultCode.CORNERS_TOO_NEAR: "That is on the corner beside it. Keep {low_m} between them.",
    FaultCode.LAST_POINTS: "A garland needs its last points. Remove the garland instead.",
    FaultCode.NO_MIRROR_IMAGE: "Its frames aren't alike on both sides. Mirror the whole design instead.",
    FaultCode.NO_FACE: "The points of this frame lie on one line. A cover or a filling needs a shape with room inside.",
    FaultCode.OUTLINE_IN_A_POINT: "The points of this frame all lie in one place.",
    FaultCode.NO_COVER_THERE: "Letters go on a covered frame or a panel. Put them on one.",
    FaultCode.PRINT_NEEDS_COVER: "An image goes on a cloth cover. Put a cover on this frame first.",
    FaultCode.GARLAND_TOO_LONG: "{found_m} is too long for one garland; the longest is {high_m}.",
    FaultCode.CROSSES_ITSELF: "it crosses itself here.",
    FaultCode.OUTSIDE_THE_ROOM: "outside the room. It reaches {found_m} from the middle, the room {high_m}.",
    FaultCode.ABOVE_THE_CEILING: "too high. It is {found_m} high, the room {high_m}.",
    FaultCode.DEEPER_THAN_THE_ROOM: "too deep. All of it takes {found_m} from the wall on, the room has {high_m}.",
    FaultCode.BEFORE_THE_DOOR: "stands before the door. Keep the way out free; the venue’s fire rules decide.",
    FaultCode.NOT_THROUGH_THE_DOOR: "too big for the door in one piece. The door is {high_m}.",
    FaultCode.ONE_COLOUR: spelled_lazy("Letters need a second color in the palette."),
    FaultCode.NOTHING_HOLDS_IT: "Nothing holds this up here. Put it by a frame or on the floor.",
    FaultCode.TOO_LIGHT_TO_HOLD: "It floats, and {what} is too light to hold it down. Stand it on something heavier.",
    FaultCode.ZONES_TOTAL: (
        "The zones are {found_m} long together, the garland {high_m}. Change a length, or leave one empty: "
        "it takes the rest."
    ),
    FaultCode.NO_ZONES: "It has no zones yet: set some first.",
    FaultCode.NO_SUCH_TIE: "It has no such tie point.",
    FaultCode.LAST_TIE: "A garland needs one tie point. Let them be worked out instead.",
    FaultCode.TIE_ON_THE_FLOOR: "tie no. {what} lies on the floor, and no frame is near.",
    FaultCode.TIE_OUT_OF_REACH: "tie no. {what} has no frame within {high_m}, and outdoors nothing else holds it.",
    FaultCode.TIES_TOO_FAR_APART: "{found_m} hang without a tie; one bears {high_m}. Add a tie point here.",
    FaultCode.UNKNOWN_SUPPORT: "Nothing can stand on that. Choose a column or a prop.",
    FaultCode.NO_ROOM_TO_HANG: "It ends {found_m} above the floor; a tail needs {low_m}.",
    FaultCode.WORDS_TOO_WIDE: "These words are {found_m} wide, their frame {high_m}.",
    FaultCode.SIGN_TOO_WIDE: "too wide. It is {found_m} wide, its frame {high_m}.",
    FaultCode.SIGN_TOO_HEAVY: "too heavy for the line that it hangs from. Stand it on the floor.",
    FaultCode.LETTERS_HIDDEN: "balloons hide “{what}” of it. Move it, or lead the garland elsewhere.",
    FaultCode.SIGN_PAST_ITS_FRAME: "about {what} % of it stands out past its frame.",
}


def done_words(acted: Acted, units: str) -> str:
    """What an act did, in a few words: the name of its step.

    >>> done_words(Acted(design=None, thing="", said=(Said(SaidCode.REMOVED, "Arch frame 6 ft"),)), "feet")
    'arch frame 6 ft removed'
    """
    first = acted.said[0] if acted.said else Said(SaidCode.CHANGED, "design")
    words = spelled(_filled(DONE.get(first.code, "{label} changed"), first, units))
    return words[:1].lower() + words[1:]


def also_words(acted: Acted, units: str) -> list[str]:
    """What came with an act, each a sentence."""
    rows = [_filled(ALSO[said.code], said, units) for said in acted.said if said.code in ALSO]
    return [spelled(row[:1].upper() + row[1:]) for row in rows]


def guide_words(guide: Guide, design: Design) -> str:
    """Why a thing goes to a line: ``flush with arch frame 6 ft``."""
    labels = {ref_of(thing): label_of(thing) for thing in all_things(design)}
    return spelled(WHY[guide.why].format(other=_inner(labels.get(guide.other, ""))))


def fault_words(error: DesignError, units: str, of: str = "") -> dict[str, list[str]]:
    """What can't be done, by the field of the act that it belongs to; under the empty name what belongs to none.

    ``of`` is the field of a thing that the act's value is for.
    """
    found: dict[str, list[str]] = {}
    for fault in error.faults:
        words = fault_sentence(fault, units, of)
        found.setdefault(fault.field, []).append(words[:1].upper() + words[1:])
    return found


def fault_sentence(fault: Fault, units: str, of: str = "") -> str:
    """One fault as a sentence, lengths as the studio writes them; ``of`` as in ``fault_words``."""
    field = of if fault.field == "value" else fault.field
    if fault.code in FAULTS:
        found_m = _length(fault.found, units) if isinstance(fault.found, float) else ""
        low_m, high_m = (_length(edge, units) for edge in (fault.low, fault.high))
        figures = {"found_m": found_m, "low_m": low_m, "high_m": high_m}
        return FAULTS[fault.code].format(found=fault.found, what=fault.what, **figures)
    if fault.code == FaultCode.OUT_OF_RANGE and field.endswith("_m"):
        low, high = (_length(edge, units) for edge in (fault.low, fault.high))
        return f"Between {low} and {high}."
    if fault.code == FaultCode.OUT_OF_RANGE and field in PERCENTS:
        return f"Between {100 * (fault.low or 0):g} % and {100 * (fault.high or 0):g} %."
    words = fault.message.rstrip(".")
    return f"{words[:1].upper()}{words[1:]}."


# Private


def _filled(sentence: str, said: Said, units: str) -> str:
    figures = {
        name: _length(value, units) if name.endswith("_m") else f"{value:g}"
        for name, value in said.figures.items()
    }
    missing = dict.fromkeys(("length_m", "width_m", "height_m"), "")
    return sentence.format(**{**missing, **figures}, label=said.label, other=_inner(said.other))


def _inner(label: str) -> str:
    """A name in the middle of a sentence."""
    return label[:1].lower() + label[1:]


def _length(metres: float | None, units: str) -> str:
    if metres is None:
        return ""
    return "−" * (metres < 0) + (measures.length(abs(metres), units) if abs(metres) > 1e-9 else "0")
