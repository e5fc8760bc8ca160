"""Warnings that go with a figure wherever it is shown, with the place each wording comes from.

Laws differ between places and change. Every text ends in, or is shown with, `DEFER`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from studio.trade.sentences import to_translate

DEFER = to_translate("Local codes and licensed practice come first.")
HEAVY_LIFT_KG: Final = 15.0
"""Mass [kg] from which a single load is warned about. Common practice, no source."""


@dataclass(frozen=True)
class Caution:
    """One warning: a short name for pages and tests, the text as shown, and where the wording comes from."""

    name: str
    text: str
    source: str

    @property
    def shown(self) -> str:
        """The text with the sentence that defers to local codes."""
        return f"{self.text} {DEFER}"


CHOKING_US = Caution(
    "choking-us",
    "WARNING: CHOKING HAZARD--Children under 8 yrs. can choke or suffocate on uninflated or broken balloons. "
    "Adult supervision required. Keep uninflated balloons from children. Discard broken balloons at once.",
    "16 CFR 1500.19(b)(2), under the Child Safety Protection Act, 15 U.S.C. 1278",
)
CHOKING_EU = Caution(
    "choking-eu",
    "Warning! Children under eight years can choke or suffocate on uninflated or broken balloons. "
    "Adult supervision required. Keep uninflated balloons from children. Discard broken balloons at once.",
    # Its German in locale/de is from memory of what packages say under the same directive (Annex V) and EN 71-1, 7.2.
    "Directive 2009/48/EC with EN 71-1; European Commission statement on balloons, October 2011",
)
LATEX_ALLERGY = Caution(
    "latex-allergy",
    "Made of natural rubber latex, which may cause allergies. "
    "Find out before the day whether anybody who comes is allergic.",
    "EN 71-1 balloon clause, from memory; the advice to find out: common practice, no source",
)
HELIUM = Caution(
    "helium",
    "Helium displaces air: never breathe it, and air the room while filling; air with less than 19.5 % "
    "oxygen is dangerous. Cylinders stand upright, secured and capped, below 52 °C (125 °F).",
    "OSHA 29 CFR 1910.146 (oxygen); 29 CFR 1910.101 in a secondary text (cylinders)",
)
FOIL = Caution(
    "foil",
    "Foil conducts electricity: keep foil balloons from power lines and off conductive ties, put a weight on "
    "each that counters its lift, and do not tie foil balloons together.",
    "California Business and Professions Code 22942 (AB 2709 of 2016, AB 847 of 2022)",
)
RELEASE = Caution(
    "release",
    "Never release balloons outdoors: it harms animals and is unlawful in many places.",
    "Florida Statutes 379.233 (2024) as one example",
)
WIND = Caution(
    "wind",
    "Wind figures are an estimate for planning a free-standing piece. The site's rules and a licensed "
    "engineer decide; without their word a piece stands indoors. Take it down before the wind reaches the "
    "figure.",
    "common practice, no source; the formulas name theirs",
)
LADDER = Caution(
    "ladder",
    "Set the foot of a leaning ladder a quarter of its working length from the wall, let the rails stand "
    "0.9 m (3 ft) above a landing, and do not reach sideways.",
    "OSHA 29 CFR 1926.1053(b)(1) and (b)(5)(i); the last clause: common practice, no source",
)
LIFTING = Caution(
    "lifting",
    "Two people lift what is heavy or awkward. Even in the best posture the recommended limit for one is "
    "23 kg (51 lb), less when reaching, bending or turning.",
    "NIOSH, Applications Manual for the Revised NIOSH Lifting Equation, Publ. 94-110 (rev. 2021), "
    "doi:10.26616/NIOSHPUB94110revised092021; two people: common practice, no source",
)
FLAME = Caution(
    "flame",
    "Keep fabric, greenery and latex away from flames and hot lamps, and exits free. A venue may want the "
    "flame-test papers of every fabric; the fire marshal decides.",
    "NFPA 701 as the usual test in the United States; the rest: common practice, no source",
)


CANDLES = Caution(
    "candles",
    "Candles near balloons, fabric and greenery are lit by battery: no open flame stands with the piece.",
    "common practice, no source; the fire marshal decides",
)


def worded_for(caution: Caution, *, european: bool) -> Caution:
    """The caution as the law of the place words it: American unless ``european``.

    >>> worded_for(CHOKING_US, european=True).name
    'choking-eu'
    """
    return CHOKING_EU if european and caution == CHOKING_US else caution


def cautions_for(
    *,
    latex: bool = False,
    helium: bool = False,
    foil: bool = False,
    fabric_or_florals: bool = False,
    candles: bool = False,
    outdoors: bool = False,
    above_reach: bool = False,
    heaviest_lift: float = 0.0,
    european: bool = False,
) -> tuple[Caution, ...]:
    """The warnings that apply to a piece of work, gravest first.

    outdoors: any piece stands in the open; above_reach: work higher than from the floor; heaviest_lift: mass
    of the heaviest single load [kg], warned about from 15 kg (common practice, no source); european: the
    choking text of the European Union in place of the American one.

    >>> [caution.name for caution in cautions_for(latex=True, helium=True)]
    ['choking-us', 'helium', 'latex-allergy', 'release']
    """
    choices = (
        (latex, CHOKING_EU if european else CHOKING_US),
        (helium, HELIUM),
        (foil, FOIL),
        (outdoors, WIND),
        (latex, LATEX_ALLERGY),
        (outdoors or helium, RELEASE),
        (above_reach, LADDER),
        (heaviest_lift >= HEAVY_LIFT_KG, LIFTING),
        (fabric_or_florals, FLAME),
        (candles, CANDLES),
    )
    return tuple(caution for applies, caution in choices if applies)
