"""Faults of a design as typed values: a code, the field, and the figures. A page finds its own words for them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from studio.trade.errors import CraftError


class FaultCode(StrEnum):
    """Why a design, or a change of one, is refused. ``SENTENCES`` shows the figures that each code carries."""

    # The document: is it what the format asks for?
    NOT_JSON = "not-json"
    NAME_TWICE = "name-twice"
    NOT_AN_OBJECT = "not-an-object"
    UNKNOWN_FIELD = "unknown-field"
    MISSING_FIELD = "missing-field"
    NOT_A_FLAG = "not-a-flag"
    NOT_A_NUMBER = "not-a-number"
    NOT_WHOLE = "not-whole"
    NOT_TEXT = "not-text"
    NOT_A_LIST = "not-a-list"
    NOT_A_PAIR = "not-a-pair"
    OUT_OF_RANGE = "out-of-range"
    UNKNOWN_CHOICE = "unknown-choice"
    WRONG_LENGTH = "wrong-length"
    WRONG_FORM = "wrong-form"
    WRONG_COUNT = "wrong-count"
    # The design: do its parts fit together?
    REPEATED = "repeated"
    EMPTY_DESIGN = "empty-design"
    UNKNOWN_FRAME = "unknown-frame"
    UNKNOWN_COLOUR = "unknown-colour"
    UNKNOWN_SUPPORT = "unknown-support"
    SHARES_TOTAL = "shares-total"
    NO_SHARES = "no-shares"
    POINT_COUNT = "point-count"
    POINT_OUTSIDE_FRAME = "point-outside-frame"
    OUTLINE_IN_A_POINT = "outline-in-a-point"
    NO_FACE = "no-face"
    ARCH_TOO_LOW = "arch-too-low"
    RING_SPAN = "ring-span"
    COLUMN_NEEDS_WINDING = "column-needs-winding"
    NO_BODY_SIZE = "no-body-size"
    ONE_SIZE_ONLY = "one-size-only"
    NO_STRETCH = "no-stretch"
    HANG_POINTS = "hang-points"
    POOL_TOO_SHORT = "pool-too-short"
    POOL_START = "pool-start"
    SIZED_ORDER = "sized-order"
    UNKNOWN_SIZE = "unknown-size"
    SIZED_OUT_OF_RANGE = "sized-out-of-range"
    PROFILE_ORDER = "profile-order"
    SIGN_TOO_WIDE = "sign-too-wide"
    SIGN_TOO_HEAVY = "sign-too-heavy"
    SIGN_PAST_ITS_FRAME = "sign-past-its-frame"
    LETTERS_HIDDEN = "letters-hidden"
    FRAMES_IN_ONE_PLACE = "frames-in-one-place"
    NO_INNER_COLOUR = "no-inner-colour"
    NO_GRID = "no-grid"
    NO_ZONES = "no-zones"
    ZONES_TOTAL = "zones-total"
    DEPTH_COUNT = "depth-count"
    NO_SURFACE = "no-surface"
    DOES_NOT_FLOAT = "does-not-float"
    WORDS_TOO_WIDE = "words-too-wide"
    WORD_TOO_LONG = "word-too-long"
    # The set piece: can it be built?
    ROUTE_TOO_SHORT = "route-too-short"
    ROUTE_TOO_LONG = "route-too-long"
    TOO_MANY_BALLOONS = "too-many-balloons"
    CANNOT_HANG = "cannot-hang"
    CANNOT_BE_BUILT = "cannot-be-built"
    NO_FRAME_THIS_WIDE = "no-frame-this-wide"
    NO_FRAME_THIS_HIGH = "no-frame-this-high"
    NEAREST_SIZE = "nearest-size"
    BETWEEN_SIZES = "between-sizes"
    TOO_FULL = "too-full"
    # A change to it: does the studio have what is asked for?
    SHARE_OUT_OF_RANGE = "share-out-of-range"
    ONLY_COLOUR = "only-colour"
    IN_PALETTE_ALREADY = "in-palette-already"
    NOT_OWNED = "not-owned"
    NOT_IN_PIECE = "not-in-piece"
    CARRIES_SOMETHING = "carries-something"
    TOO_MANY_FRAMES = "too-many-frames"
    # An act on the drawing table: can it be done with this thing?
    UNKNOWN_ACT = "unknown-act"
    NOT_FOR_THIS = "not-for-this"
    TOO_MANY_THINGS = "too-many-things"
    NO_SUCH_POINT = "no-such-point"
    NO_SUCH_CORNER = "no-such-corner"
    LAST_CORNERS = "last-corners"
    CORNERS_TOO_NEAR = "corners-too-near"
    LAST_POINTS = "last-points"
    NO_ROOM_TO_HANG = "no-room-to-hang"
    NO_SUCH_TIE = "no-such-tie"
    LAST_TIE = "last-tie"
    ONE_COLOUR = "one-colour"
    NO_MIRROR_IMAGE = "no-mirror-image"
    NO_COVER_THERE = "no-cover-there"
    PRINT_NEEDS_COVER = "print-needs-cover"
    # What stands on the drawing table: can it stay like this?
    GARLAND_TOO_LONG = "garland-too-long"
    CROSSES_ITSELF = "crosses-itself"
    OUTSIDE_THE_ROOM = "outside-the-room"
    ABOVE_THE_CEILING = "above-the-ceiling"
    DEEPER_THAN_THE_ROOM = "deeper-than-the-room"
    BEFORE_THE_DOOR = "before-the-door"
    NOTHING_HOLDS_IT = "nothing-holds-it"
    TOO_LIGHT_TO_HOLD = "too-light-to-hold"
    TIE_ON_THE_FLOOR = "tie-on-the-floor"
    TIE_OUT_OF_REACH = "tie-out-of-reach"
    TIES_TOO_FAR_APART = "ties-too-far-apart"
    NOT_THROUGH_THE_DOOR = "not-through-the-door"
    # The file that brings it: can it be read?
    FILE_TOO_LARGE = "file-too-large"
    NOT_UTF8 = "not-utf8"
    NO_SUCH_NUMBER = "no-such-number"
    NESTED_TOO_DEEPLY = "nested-too-deeply"
    NUMBER_TOO_LONG = "number-too-long"
    NO_PICTURE = "no-picture"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One reason why a design is refused: a code, the field it belongs to, and the figures that say what is allowed.

    ``field`` is a place in the design file (``garlands[0].mix[1].size_in``) or the key of a change (``width_m``,
    ``share.oat``). ``found`` is what was given; ``low`` and ``high`` bound what is allowed, in the field's own unit
    (metres, seconds, a share from 0 to 1, a count); ``names`` are the words allowed; ``what`` says more where a code
    needs it. ``SENTENCES`` shows the figures that each code carries; the others are None or empty.

    >>> fault = Fault(code=FaultCode.OUT_OF_RANGE, field="fullness", found=1.5, low=0.0, high=0.97)
    >>> (fault.code.value, fault.low, fault.high)
    ('out-of-range', 0.0, 0.97)
    >>> str(fault)
    'fullness: is 1.5; allowed is 0 to 0.97'
    """

    code: FaultCode
    field: str
    found: float | str | None = None
    low: float | None = None
    high: float | None = None
    names: tuple[str, ...] = ()
    what: str = ""

    @property
    def message(self) -> str:
        """The fault in English for the command line, without its field. A page takes the code and figures."""
        figures = {
            "found": self.found if isinstance(self.found, str | None) else f"{self.found:g}",
            "exact": self.found,
            "low": self.low,
            "high": self.high,
            "names": ", ".join(self.names) or "none",
            "what": self.what,
        }
        return SENTENCES[self.code].format(**figures)

    def __str__(self) -> str:
        return f"{self.field}: {self.message}"


class DesignError(CraftError):
    """A design that cannot be read or built. ``faults`` lists every fault found, not only the first."""

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in self.faults))


SENTENCES: Final[Mapping[FaultCode, str]] = {
    FaultCode.NOT_JSON: "is not JSON: {what}",
    FaultCode.NAME_TWICE: "stands twice in one place; allowed is once",
    FaultCode.NOT_AN_OBJECT: "is {found}; expected an object with named fields",
    FaultCode.UNKNOWN_FIELD: "is not known here; known are {names}",
    FaultCode.MISSING_FIELD: "is missing: {what}",
    FaultCode.NOT_A_FLAG: "is {found}; expected true or false",
    FaultCode.NOT_A_NUMBER: "is {found}; expected a number from {low:g} to {high:g}",
    FaultCode.NOT_WHOLE: "is {found}; expected a whole number from {low:g} to {high:g}",
    FaultCode.NOT_TEXT: "is {found}; expected text",
    FaultCode.NOT_A_LIST: "is {found}; expected a list",
    FaultCode.NOT_A_PAIR: "is {found}; expected two numbers",
    FaultCode.OUT_OF_RANGE: "is {found}; allowed is {low:g} to {high:g}",
    FaultCode.UNKNOWN_CHOICE: "is {found}; allowed are {names}",
    FaultCode.WRONG_LENGTH: "has {found} characters; allowed are {low:g} to {high:g}",
    FaultCode.WRONG_FORM: "is {found}; expected {what}",
    FaultCode.WRONG_COUNT: "has {found} entries; allowed are {low:g} to {high:g}",
    FaultCode.REPEATED: "is {found} a second time; each needs its own",
    FaultCode.EMPTY_DESIGN: "is empty, and so is everything else; a design needs a frame, a garland or another thing",
    FaultCode.UNKNOWN_FRAME: "is {found}; frames are {names}",
    FaultCode.UNKNOWN_SUPPORT: "is {found}, on which nothing can stand; it takes a column or a prop: {names}",
    FaultCode.UNKNOWN_COLOUR: "has no colour {found}; it has {names}",
    FaultCode.SHARES_TOTAL: "has shares that add up to {exact:.4g}; they must add up to 1 (within 0.001)",
    FaultCode.NO_SHARES: "and all other shares are 0; give at least one colour a share",
    FaultCode.POINT_COUNT: "has {found} points; allowed are {low:g} to {high:g}",
    FaultCode.POINT_OUTSIDE_FRAME: "is {found}, outside the frame; allowed is {low:g} to {high:g}",
    FaultCode.OUTLINE_IN_A_POINT: "all lie in one place; an outline has a length",
    FaultCode.NO_FACE: "lie on one line; what is covered or filled needs a face",
    FaultCode.ARCH_TOO_LOW: "is {found}; an arch-top needs at least half its width: {low:g} to {high:g}",
    FaultCode.RING_SPAN: "is {found} degrees from start_deg; allowed are {low:g} to {high:g}",
    FaultCode.COLUMN_NEEDS_WINDING: "is along; a column takes wind, or classic work along it",
    FaultCode.NO_BODY_SIZE: "has no entry with role body; the quads need at least one",
    FaultCode.ONE_SIZE_ONLY: "has {found} entries; classic work takes exactly one size",
    FaultCode.NO_STRETCH: "is {found}, the same as start; the stretch has no length",
    FaultCode.HANG_POINTS: "has {found} points; hang takes two ends, or none where other legs stand on either side",
    FaultCode.POOL_TOO_SHORT: "is {found}; a pool needs {low:g} to {high:g}",
    FaultCode.POOL_START: "has {found} points; a pool that begins a route needs the one point where it begins",
    FaultCode.SIZED_ORDER: "is {found}, above sized_high_m {high:g}",
    FaultCode.UNKNOWN_SIZE: "is {found}; rounds come in {names}",
    FaultCode.SIZED_OUT_OF_RANGE: "is {found}; a {what}-in round is sized {low:.3f} to {high:.3f}",
    FaultCode.PROFILE_ORDER: "is {found}; it must be larger than the fraction before it, {low:g}",
    FaultCode.SIGN_TOO_WIDE: "is {found}; the frame that it hangs from is {high:g} m wide",
    FaultCode.SIGN_TOO_HEAVY: "is {found}; the line that it hangs from holds {high:g} kg",
    FaultCode.LETTERS_HIDDEN: "has letters that balloons hide: {what}",
    FaultCode.SIGN_PAST_ITS_FRAME: "stands out past its frame with {what} % of it",
    FaultCode.FRAMES_IN_ONE_PLACE: (
        "puts the frame where {found} stands; from one to the other it takes {low:.3f} m"
    ),
    FaultCode.NO_ZONES: "is missing; a garland in zones needs at least one",
    FaultCode.ZONES_TOTAL: "are {exact:.2f} m long together; the garland is {high:.2f} m long",
    FaultCode.NO_INNER_COLOUR: "is missing; a double-stuffed round needs the colour of its inner balloon",
    FaultCode.NO_GRID: "has no row; a drawn wall needs one for every row of balloons",
    FaultCode.DEPTH_COUNT: "has {found} depths; allowed are none, or one for each of the {high:g} points",
    FaultCode.NO_SURFACE: "is {found}, which has no cover; words need a covered frame or a board",
    FaultCode.DOES_NOT_FLOAT: "is helium; {what} of this size carries less than itself. Take air, or a bigger one",
    FaultCode.WORDS_TOO_WIDE: "take {exact:.2f} m; the frame that they are put on is {high:g} m wide",
    FaultCode.WORD_TOO_LONG: "takes {found} balloons side by side or above each other; the wall has {high:g}",
    FaultCode.ROUTE_TOO_SHORT: (
        "is {exact:.2f} m long; at least {low:.2f} m of it can be strung with balloons of this size"
    ),
    FaultCode.ROUTE_TOO_LONG: (
        "is longer than {high:.0f} m. At most {what} balloons are worked out at once: "
        "shorten the route or use bigger balloons"
    ),
    FaultCode.TOO_MANY_BALLOONS: (
        "takes about {exact:.0f} balloons; at most {high:.0f} are worked out at once: "
        "shorten the route or use bigger balloons"
    ),
    FaultCode.CANNOT_HANG: "has a leg that can't hang as it should: {what}",
    FaultCode.CANNOT_BE_BUILT: "cannot be built: {what}",
    FaultCode.NO_FRAME_THIS_WIDE: (
        "is {exact:.2f}; these frames make a piece {low:.2f} to {high:.2f} m wide. "
        "Choose a size in that range, or a design with other frames"
    ),
    FaultCode.NO_FRAME_THIS_HIGH: (
        "is {exact:.2f}; these frames make a piece {low:.2f} to {high:.2f} m high. "
        "Choose a size in that range, or a design with other frames"
    ),
    FaultCode.NEAREST_SIZE: "is {exact:.2f}; the nearest that can be built is {low:.2f} m",
    FaultCode.BETWEEN_SIZES: "is {exact:.2f}; the nearest that can be built are {low:.2f} and {high:.2f} m",
    FaultCode.TOO_FULL: "is {exact:.2f}; this piece gets {high:.2f} full at most",
    FaultCode.SHARE_OUT_OF_RANGE: "is outside 0 to 100 %",
    FaultCode.ONLY_COLOUR: "is the only colour, so it takes 100 %; add another one first",
    FaultCode.IN_PALETTE_ALREADY: "is in the palette already; change its share there",
    FaultCode.NOT_OWNED: "is no {what} of the studio; choose one from the list",
    FaultCode.NOT_IN_PIECE: "is no {what} of this set piece",
    FaultCode.CARRIES_SOMETHING: "carries {what}, so it stays",
    FaultCode.TOO_MANY_FRAMES: "is one too many; at most {high:g} frames make a piece",
    FaultCode.UNKNOWN_ACT: "is {found}; acts are {names}",
    FaultCode.NOT_FOR_THIS: "is nothing that a {what} takes",
    FaultCode.TOO_MANY_THINGS: "is one too many: a design takes {high:g} of the kind {what}",
    FaultCode.NO_SUCH_POINT: "is {found}; it has points 0 to {high:g}",
    FaultCode.NO_SUCH_CORNER: "is {found}; it goes from 0 to {high:g} here",
    FaultCode.LAST_CORNERS: "is one of the last corners; an outline needs {low:g}",
    FaultCode.CORNERS_TOO_NEAR: "is on the corner beside it; they are {low:g} m apart at least",
    FaultCode.LAST_POINTS: "is one of the last points; a garland needs them. Remove the garland instead",
    FaultCode.NO_ROOM_TO_HANG: "can't hang: it ends {exact:.2f} m above the floor; a tail needs {low:.2f} m",
    FaultCode.ONE_COLOUR: "needs a second colour in the palette for its letters",
    FaultCode.NO_MIRROR_IMAGE: "runs along frames that are no mirror image of themselves; mirror the whole design",
    FaultCode.NO_COVER_THERE: "is not on a covered frame or a board, which letters need",
    FaultCode.PRINT_NEEDS_COVER: "is on a frame without a cloth cover over its face, which a print needs",
    FaultCode.GARLAND_TOO_LONG: "is {exact:.1f} m long; at most {high:.0f} m",
    FaultCode.CROSSES_ITSELF: "crosses itself",
    FaultCode.OUTSIDE_THE_ROOM: "reaches {exact:.2f} m from the middle; the room reaches {high:.2f} m",
    FaultCode.ABOVE_THE_CEILING: "is {exact:.2f} m high; the room is {high:.2f} m high",
    FaultCode.DEEPER_THAN_THE_ROOM: "makes the piece {exact:.2f} m deep from the wall on; the room is {high:.2f} m",
    FaultCode.BEFORE_THE_DOOR: "stands before the door, from {low:.2f} to {high:.2f} m: a way out stays free",
    FaultCode.NOTHING_HOLDS_IT: "is {exact:.2f} m above the floor, and nothing there holds it",
    FaultCode.NO_SUCH_TIE: "is {found}; it has ties 0 to {high:g}",
    FaultCode.LAST_TIE: "is the last tie; let them be worked out instead",
    FaultCode.TIE_ON_THE_FLOOR: "has tie {what} on the floor, {exact:.2f} m up, where no frame is",
    FaultCode.TIE_OUT_OF_REACH: "has tie {what} outdoors, and no frame within {high:.2f} m of it",
    FaultCode.TIES_TOO_FAR_APART: "hangs for {exact:.2f} m without a tie; one bears {high:.2f} m",
    FaultCode.TOO_LIGHT_TO_HOLD: "needs {exact:.3f} kg to hold it; {what} weighs {high:.3f} kg",
    FaultCode.NOT_THROUGH_THE_DOOR: "doesn't go through the door: it is {exact:.2f} m across, the door {high:.2f} m",
    FaultCode.FILE_TOO_LARGE: "has {exact:,} bytes; allowed are 1 to {high:,}",
    FaultCode.NOT_UTF8: "is no UTF-8 text: byte {exact:,} cannot be read. Save it as UTF-8",
    FaultCode.NO_SUCH_NUMBER: "holds {found}, which is no number",
    FaultCode.NESTED_TOO_DEEPLY: "is nested too deeply",
    FaultCode.NUMBER_TOO_LONG: "holds a number too long to read",
    FaultCode.NO_PICTURE: "can't be printed: {what}",
}
"""The sentence of each code, with the figures of a fault in braces; ``exact`` is ``found`` as a number."""
