"""What every tenant table has in common."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING, Any

from django.core.exceptions import FieldError
from django.db import DEFAULT_DB_ALIAS, models
from django.db.models.functions import Coalesce

from studio.tenancy import current_studio_id

if TYPE_CHECKING:
    # The type checker's Django plugin knows foreign keys by their own name only.
    StudioKey = models.ForeignKey
    TenantForeignKey = models.ForeignKey
else:

    class StudioKey(models.ForeignKey):
        """The studio a row belongs to; the entered one by default, but not while a migration adds the column."""

        def deconstruct(self) -> tuple[str, str, list[object], dict[str, object]]:
            name, path, args, kwargs = super().deconstruct()
            kwargs.pop("default", None)
            return name, path, list(args), kwargs

    class TenantForeignKey(models.ForeignKey):
        """A foreign key from one tenant table to another.

        Django's own constraint is left out: the migration makes the composite one, ``(studio_id, x_id)``, since a
        plain foreign-key check bypasses row-level security and would let a row point into another studio.
        """

        # Arguments are those of Django's foreign key, whatever the release.
        def __init__(self, *args: Any, **kwargs: Any) -> None:
            kwargs["db_constraint"] = False
            super().__init__(*args, **kwargs)


class TenantModel(models.Model):
    """A row that belongs to one studio: the one entered when it was made.

    Its migration ends with ``GuardTenantTable("name")``; the system checks fail without it.
    """

    studio = StudioKey(
        "studio.Studio", on_delete=models.PROTECT, default=current_studio_id, editable=False, related_name="+"
    )

    _checks_hold = False

    class Meta:
        abstract = True

    def validate_constraints(self, exclude: Collection[str] | None = None) -> None:
        """As Django does, but the check constraints are asked about together first: one question instead of a dozen."""
        self._checks_hold = _checks_hold(self, set(exclude or ()))
        try:
            super().validate_constraints(exclude)
        finally:
            self._checks_hold = False

    def get_constraints(self) -> list[tuple[type[models.Model], Sequence[models.BaseConstraint]]]:
        """The constraints to look at one by one: those of the database, less checks that are known to hold."""
        return [
            (
                model,
                [
                    each
                    for each in found
                    if not (self._checks_hold and isinstance(each, models.CheckConstraint))
                ],
            )
            for model, found in super().get_constraints()
        ]


def _checks_hold(row: models.Model, exclude: set[str]) -> bool:
    """Whether every check constraint that speaks of none of ``exclude`` holds of the row, as PostgreSQL sees it."""
    conditions = [
        Coalesce(condition, True, output_field=models.BooleanField())
        for each in row._meta.constraints
        if isinstance(each, models.CheckConstraint)
        and not exclude & (condition := models.Q(each.condition)).referenced_base_fields
    ]
    against = row._get_field_expression_map(meta=row._meta, exclude=exclude)  # type: ignore[attr-defined] # no stub
    try:
        return not conditions or models.Q(*conditions).check(against, using=row._state.db or DEFAULT_DB_ALIAS)
    except FieldError:  # one speaks of an excluded field after all: they are looked at one by one
        return False
