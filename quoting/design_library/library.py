"""Design templates: the starters, and the studio's own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.http import Http404
from django.utils import timezone

from quoting.craft.change.edit import edited
from quoting.craft.design.design_file import load_design, read_design
from quoting.craft.design.faults import DesignError
from quoting.craft.design.records import Design, Site
from quoting.craft.design.signs import sign_faults
from quoting.models import DesignTemplate, SetPiece
from quoting.prints.carried import taken_in
from quoting.prints.pictures import on_its_own
from quoting.set_pieces.faults import cannot_sketch
from quoting.set_pieces.size_bench import card
from quoting.set_pieces.worked import in_units, worked
from studio.measures import lengths
from studio.models import Studio
from studio.tenancy.access import require
from studio.tenancy.rights import Right

LONGEST_NAME: Final = 120
STARTERS: Final = Path(__file__).parents[1] / "craft" / "starters"


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


def keep_design(design: Design, studio: Studio) -> DesignTemplate:
    """A design of the studio's own. Raises ``ValidationError`` at ``name`` where that is taken."""
    require(Right.EDIT_QUOTES)
    return _kept(design, studio, is_starter=False)


def keep_from_file(design: Design, studio: Studio) -> DesignTemplate:
    """A design out of a file, with the images that it carries. Raises ``ValidationError`` as :func:`keep_design` does,
    and where the studio has as many images as it can."""
    require(Right.EDIT_QUOTES)
    with transaction.atomic():
        return keep_design(taken_in(design), studio)


def set_piece(quote_id: int, piece_id: int) -> SetPiece:
    """A set piece of a quote of this studio; 404 for any other."""
    require(Right.SEE_QUOTES)
    found = SetPiece.objects.select_related("quote").filter(pk=piece_id, quote_id=quote_id).first()
    if found is None:
        raise Http404
    return found


def keep_piece(piece: SetPiece, name: str, studio: Studio) -> DesignTemplate:
    """A set piece kept as a design of the studio's own, without the place that it was sketched for.

    Raises ``ValidationError`` at ``name`` where that is taken or none.
    """
    require(Right.EDIT_QUOTES)
    design = replace(read_design(piece.design), name=clean_name(name), site=Site())
    return _kept(design, studio, is_starter=False)


def changed(design: Design, changes: Mapping[str, object], *, name: str, studio: Studio) -> Design:
    """The design under a name and with changes (keys as ``craft.edit.editable`` lists them); nothing is kept.

    Raises ``ValidationError`` at ``name`` and :class:`~quoting.set_pieces.faults.CannotSketch` at the changes.
    """
    try:
        made = edited(replace(design, name=clean_name(name)), changes)
        if faults := [fault for fault in sign_faults(made) if fault not in sign_faults(design)]:
            raise DesignError(*faults)
        return made
    except DesignError as error:
        raise cannot_sketch(error, studio.units) from None


def redraw(template_id: int, design: Design, studio: Studio) -> DesignTemplate:
    """Keep a design as it is now; quotes that were drawn from it stay as they are. What was a starter is the studio's.

    Raises ``ValidationError`` at ``name`` where that is taken.
    """
    require(Right.EDIT_QUOTES)
    found = template(template_id)
    _check_free(design.name, besides=found.pk)
    found.is_starter = found.is_starter and design == read_design(found.design)
    shown, found.made_at = _drawn(design, studio), timezone.now()
    for drawn in ("name", "design", "facts", "alt", "picture", "picture_width", "picture_height"):
        setattr(found, drawn, getattr(shown, drawn))
    _save(found)
    return found


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


def clean_name(typed: str) -> str:
    """A name as it is kept, spaces joined. Raises ``ValidationError`` at ``name`` where it is none or too long."""
    name = " ".join(typed.replace("\x00", "").split())
    if not name:
        raise ValidationError({"name": "Enter a name."})
    if len(name) > LONGEST_NAME:
        raise ValidationError({"name": f"Use at most {LONGEST_NAME} characters (this has {len(name)})."})
    return name


# Private


def _kept(design: Design, studio: Studio, *, is_starter: bool) -> DesignTemplate:
    _check_free(design.name)
    kept = _drawn(design, studio)
    kept.is_starter = is_starter
    _save(kept)
    return kept


def _drawn(design: Design, studio: Studio) -> DesignTemplate:
    """A design with its picture and its facts; not saved. Raises ``CannotSketch`` for what can't be built."""
    try:
        result = worked(design)
    except DesignError as error:
        raise cannot_sketch(error, studio.units) from None
    found = result.takeoff
    shown = card(result.picture, found, units=studio.units)
    size = " × ".join(lengths.written(side, studio.units) for side in (found.width_m, found.height_m))
    return DesignTemplate(
        name=design.name,
        design=result.design,
        facts=f"{size}, {found.balloons} balloons" if found.balloons else size,
        alt=in_units(found.alt, studio.units),
        picture=on_its_own(shown.picture),
        picture_width=round(shown.width),
        picture_height=round(shown.height),
    )


def _check_free(name: str, besides: int | None = None) -> None:
    alike = DesignTemplate.objects.filter(retired_at=None, name__iexact=name)
    if (alike.exclude(pk=besides) if besides else alike).exists():
        raise _taken(name)


def _save(kept: DesignTemplate) -> None:
    """Save; a name that somebody else took in the same moment is refused like any other."""
    kept.full_clean(validate_constraints=False)
    try:
        with transaction.atomic():
            kept.save()
    except IntegrityError as error:
        if "quoting_designtemplate_name_key" not in str(error):
            raise
        raise _taken(kept.name) from None


def _taken(name: str) -> ValidationError:
    return ValidationError({"name": f"Another design is called “{name}”. Choose a different name."})
