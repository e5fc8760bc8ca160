"""The column of a set piece's take-off: JSON in the database, a typed record in Python."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models.expressions import Expression

from quoting.craft.sheets.stored import StoredTakeoff, read_takeoff, write_takeoff


class TakeoffField(models.JSONField):
    """Gives and takes :class:`StoredTakeoff`; rows of earlier versions are read as well."""

    def deconstruct(self) -> tuple[str, str, Sequence[object], dict[str, object]]:
        """As migrations know it: the column is plain JSON."""
        name, _, args, kwargs = super().deconstruct()
        return name, "django.db.models.JSONField", args, kwargs

    def from_db_value(
        self, value: str | None, _expression: Expression, _connection: BaseDatabaseWrapper
    ) -> StoredTakeoff | None:
        """The record of a row."""
        return None if value is None else read_takeoff(msgspec.json.decode(value))

    def get_db_prep_value(
        self, value: object, connection: BaseDatabaseWrapper, prepared: bool = False
    ) -> object:
        """The document of a record."""
        plain = write_takeoff(value) if isinstance(value, StoredTakeoff) else value
        return super().get_db_prep_value(plain, connection, prepared)

    def validate(self, value: object, model_instance: models.Model | None) -> None:
        """A record is valid by its type."""
        if not isinstance(value, StoredTakeoff):
            super().validate(value, model_instance)
