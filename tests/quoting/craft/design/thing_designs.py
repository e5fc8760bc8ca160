"""A small design with one of every single thing, for tests."""

from __future__ import annotations

from quoting.craft.design.records import Cover, Design, Frame, PaletteColour, Sign
from quoting.craft.design.things import Foil, Lettering, Prop, Round, Spray

OAT = PaletteColour(colour="oat", name="Oat", hex="#EFE6D6", share=0.6)
INK = PaletteColour(colour="ink", name="Ink", hex="#2E4454", share=0.4)
PANEL = Frame(
    id="panel", shape="arch-top", item="frame-arch-6ft", label="Arch frame 6 ft", width_m=1.2, height_m=2.0,
    cover=Cover(item="cover-oat", label="Cover, oat", colour="oat", hex="#F3EBDD"),
)  # fmt: skip
SIGN = Sign(
    item="sign-board", label="Acrylic board", text="Mara", width_m=0.6, height_m=0.4, x_m=0.9, y_m=1.2, weight_kg=1.5
)  # fmt: skip
ROUND = Round(id="big", size_in=36, sized_m=0.8, colour="ink", x_m=1.0, y_m=0.4)
FOIL = Foil(
    id="age", item="foil-34-gold", label="Gold number 34 in", shape="glyphs", text="40", flat_m=0.86,
    hex="#D9B45B", x_m=-0.2, y_m=2.4,
)  # fmt: skip
PROP = Prop(
    id="plinth", item="plinth-90", label="Plinth 90 cm", look="plinth", width_m=0.35, height_m=0.9, depth_m=0.35,
    x_m=-1.1, weight_kg=18.0,
)  # fmt: skip
LETTERING = Lettering(id="words", text="Mara turns 40", height_m=0.09, x_m=0.0, y_m=1.4, frame="panel")
SPRAY = Spray(
    id="rose", item="pick-rose", label="Silk rose", kind="pick", hex="#D8A0A0", look="bloom", x_m=0.5, y_m=1.6,
    turn_deg=30.0,
)  # fmt: skip


def furnished() -> Design:
    """A covered frame with a sign, a round, a foil number, a plinth, words and a rose."""
    return Design(
        version=2, name="Furnished", palette=(OAT, INK), frames=(PANEL,), signs=(SIGN,), rounds=(ROUND,),
        foils=(FOIL,), props=(PROP,), letterings=(LETTERING,), sprays=(SPRAY,),
    )  # fmt: skip
