"""Cautions for whoever works on an event: those of the trade, by what the event has."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _

from events.models import Event, Setting
from studio.models import Studio
from studio.trade.cautions import DEFER, cautions_for
from studio.trade.packing import CYLINDER
from studio.trade.working_height import needs_ladder


def find_cautions(
    event: Event, bill: Iterable[tuple[str, str]], studio: Studio, *, heaviest_kg: float = 0.0
) -> tuple[str, ...]:
    """The cautions that an event's place, height and bill of (code, group) ask for, gravest first."""
    rows = list(bill)
    found = cautions_for(
        latex=any(code.startswith("latex-") for code, _ in rows),
        helium=any(code == CYLINDER for code, _ in rows),
        foil=any(group == "foils" for _, group in rows),
        fabric_or_florals=any(
            group in {"covers", "florals"} or code.startswith("cover") for code, group in rows
        ),
        outdoors=event.venue is not None and event.venue.setting != Setting.INDOOR,
        above_reach=needs_ladder(event.working_height_m),
        heaviest_lift=heaviest_kg,
        european=studio.is_european,
    )
    return (*(_(caution.text) for caution in found), _(DEFER))
