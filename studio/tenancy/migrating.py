"""Migrations that are applied fast: Django's picture of the tables is drawn once for many operations.

Django draws all related models anew after each operation, and here every table is related to every other through the
studio: several hundred operations would draw some thirty models each. Operations that only add something need no
picture of the steps between.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import Final

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState
from pgtrigger.migrations import AddTrigger, RemoveTrigger

from studio.tenancy.operations import TableOperation

SAME_COLUMNS: Final = (
    migrations.AddConstraint, migrations.AddIndex, AddTrigger, RemoveTrigger, TableOperation, migrations.RunSQL,
)  # fmt: skip
"""Operations after which the models that were drawn before are still true of the tables."""
ADDING: Final = (migrations.AddField, *SAME_COLUMNS)


class Migration(migrations.Migration):
    """A migration whose consecutive operations of one kind are applied together: tables made, things added, fields
    altered.

    Any other operation, and every way backwards, goes as Django goes.
    """

    def apply(
        self, project_state: ProjectState, schema_editor: BaseDatabaseSchemaEditor, collect_sql: bool = False
    ) -> ProjectState:
        if collect_sql or not schema_editor.atomic_migration:
            return super().apply(project_state, schema_editor, collect_sql)
        for together in self._together():
            before = project_state.clone()
            drawn = project_state.__dict__.pop("apps", None)
            for operation in together:
                operation.state_forwards(self.app_label, project_state)
            if drawn and all(isinstance(each, SAME_COLUMNS) for each in together):
                project_state.__dict__["apps"] = drawn
            for operation in together:
                operation.database_forwards(self.app_label, schema_editor, before, project_state)
        return project_state

    def _together(self) -> Iterator[list[Operation]]:
        """Runs of operations of one kind; each of any other kind by itself."""
        for _, run in groupby(enumerate(self.operations), key=lambda each: _kind(*each)):
            together = [operation for _, operation in run]
            yield from [together] if _each_field_once(together) else [[each] for each in together]


def _kind(place: int, operation: Operation) -> tuple[str, int]:
    if isinstance(operation, migrations.CreateModel):
        return "creating", 0
    if isinstance(operation, migrations.AlterField):
        return "altering", 0
    return ("adding", 0) if isinstance(operation, ADDING) else ("other", place)


def _each_field_once(together: list[Operation]) -> bool:
    """Whether no field is altered twice: between the two it would be neither as before nor as after all of them."""
    altered = [
        (each.model_name_lower, each.name_lower)
        for each in together
        if isinstance(each, migrations.AlterField)
    ]
    return len(altered) == len(set(altered))
