"""What every tenant table has in common."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.db import models

from studio.tenancy import current_studio_id

if TYPE_CHECKING:
    # The type checker's Django plugin knows foreign keys by their own name only.
    StudioKey = models.ForeignKey
    TenantForeignKey = models.ForeignKey
else:

    class StudioKey(models.ForeignKey):
        """The studio a row belongs to; the entered one by default, but not while a migration adds the column."""

        def deconstruct(self) -> tuple[str, str, list[Any], dict[str, Any]]:
            name, path, args, kwargs = super().deconstruct()
            kwargs.pop("default", None)
            return name, path, list(args), kwargs

    class TenantForeignKey(models.ForeignKey):
        """A foreign key from one tenant table to another.

        Django's own constraint is left out: the migration makes the composite one, ``(studio_id, x_id)``, since a
        plain foreign-key check bypasses row-level security and would let a row point into another studio.
        """

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

    class Meta:
        abstract = True
