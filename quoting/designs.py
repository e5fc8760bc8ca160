"""Design templates: the starters, and the studio's own."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from django.db import transaction
from django.http import Http404
from django.utils import timezone

from quoting.bench import card
from quoting.craft.design import Design, DesignError, design_from_dict, load_design
from quoting.faults import cannot_sketch
from quoting.models import DesignTemplate
from quoting.worked import in_units, worked
from studio import lengths
from studio.access import Right, require
from studio.models import Studio

STARTERS: Final = Path(__file__).parent / "craft" / "starters"


def templates() -> list[DesignTemplate]:
    """The designs in use, without their drawings. One query."""
    require(Right.SEE_QUOTES)
    return list(DesignTemplate.objects.filter(retired_at=None).defer("design", "picture"))


def template(template_id: int) -> DesignTemplate:
    """A design of this studio that is in use; 404 for any other."""
    require(Right.SEE_QUOTES)
    found = DesignTemplate.objects.filter(pk=template_id, retired_at=None).first()
    if found is None:
        raise Http404
    return found


def bring_in_starters(studio: Studio) -> list[DesignTemplate]:
    """Add the starters that the studio doesn't have yet, by name."""
    require(Right.EDIT_QUOTES)
    known = {
        name.lower() for name in DesignTemplate.objects.filter(retired_at=None).values_list("name", flat=True)
    }
    designs = [load_design(path) for path in sorted(STARTERS.glob("*.json"))]
    with transaction.atomic():
        return [
            _kept(design, studio, is_starter=True) for design in designs if design.name.lower() not in known
        ]


def keep_template(design: Mapping[str, Any], studio: Studio) -> DesignTemplate:
    """A design of the studio's own. Raises :class:`~quoting.faults.CannotSketch` with every fault."""
    require(Right.EDIT_QUOTES)
    try:
        return _kept(design_from_dict(design), studio, is_starter=False)
    except DesignError as error:
        raise cannot_sketch(error, studio.units) from None


def retire(template_id: int) -> DesignTemplate:
    """Take a design out of use; quotes that were drawn from it keep theirs."""
    require(Right.EDIT_QUOTES)
    found = template(template_id)
    DesignTemplate.objects.filter(pk=found.pk).update(retired_at=timezone.now())
    return found


def bring_back(template_id: int) -> None:
    """Use a retired design again. Raises ``ValidationError`` where another one took its name meanwhile."""
    require(Right.EDIT_QUOTES)
    found = DesignTemplate.objects.filter(pk=template_id).first()
    if found is None:
        raise Http404
    found.retired_at = None
    found.validate_constraints()
    found.save(update_fields=["retired_at"])


# Private


def _kept(design: Design, studio: Studio, *, is_starter: bool) -> DesignTemplate:
    result = worked(design)
    found = result.takeoff
    shown = card(result.picture, found, units=studio.units)
    size = " × ".join(lengths.written(found[side], studio.units) for side in ("width_m", "height_m"))
    kept = DesignTemplate(
        name=design.name,
        design=result.design,
        is_starter=is_starter,
        facts=f"{size}, {found['balloons']} balloons" if found["balloons"] else size,
        alt=in_units(found["alt"], studio.units),
        picture=shown.picture,
        picture_width=round(shown.width),
        picture_height=round(shown.height),
    )
    kept.full_clean()
    kept.save()
    return kept
