"""Migration operations that put the tenancy rules into PostgreSQL itself."""

from __future__ import annotations

from typing import Any, TypeAlias

from django.db import models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState

# The type checker takes tenant foreign keys for plain ones, without the columns that SQL is made of.
TenantReference: TypeAlias = Any

THIS_STUDIO = "nullif(current_setting('billowbook.studio', true), '')::bigint"
THIS_PERSON = "nullif(current_setting('billowbook.person', true), '')::bigint"


def while_no_studio_is_entered(condition: str) -> str:
    """The SQL condition, narrowed to transactions outside every studio: inside one, its own rows are all there is."""
    return f"{THIS_STUDIO} IS NULL AND ({condition})"


class TableOperation(Operation):
    """SQL on one model's table, forwards and backwards, that leaves Django's own state alone."""

    reversible = True
    reduces_to_sql = True

    def __init__(self, model_name: str) -> None:
        self.model_name = model_name

    def forwards(self, model: type[models.Model]) -> list[str]:
        """The statements that put the rule in."""
        raise NotImplementedError

    def backwards(self, model: type[models.Model]) -> list[str]:
        """The statements that take it out again."""
        raise NotImplementedError

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        """Django's picture of the models doesn't change."""

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        for statement in self.forwards(to_state.apps.get_model(app_label, self.model_name)):
            schema_editor.execute(statement)

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        for statement in self.backwards(from_state.apps.get_model(app_label, self.model_name)):
            schema_editor.execute(statement)

    def describe(self) -> str:
        return f"{type(self).__name__} on {self.model_name}"


class GuardTenantTable(TableOperation):
    """Row-level security, forced, and composite keys on a tenant model's table.

    ``read_also`` is a further SQL condition under which rows may be *read* while no studio is entered (a person's own
    memberships, the one link whose token hash was set); writing is never widened. ``tenant_column`` differs for the
    studio's own table.
    ``references=False`` leaves composite keys out (history tables, whose rows outlive what they speak of).
    """

    def __init__(
        self,
        model_name: str,
        *,
        read_also: str = "",
        tenant_column: str = "studio_id",
        references: bool = True,
    ) -> None:
        super().__init__(model_name)
        self.read_also = read_also
        self.tenant_column = tenant_column
        self.references = references

    def deconstruct(self) -> tuple[str, list[object], dict[str, object]]:
        return (
            type(self).__name__,
            [self.model_name],
            {"read_also": self.read_also, "tenant_column": self.tenant_column, "references": self.references},
        )

    def forwards(self, model: type[models.Model]) -> list[str]:
        table = model._meta.db_table
        mine = f"{self.tenant_column} = {THIS_STUDIO}"
        statements = [
            f'ALTER TABLE "{table}" ENABLE ROW LEVEL SECURITY',
            f'ALTER TABLE "{table}" FORCE ROW LEVEL SECURITY',
            f'CREATE POLICY tenant ON "{table}" USING ({mine}) WITH CHECK ({mine})',
        ]
        if self.read_also:
            outside = while_no_studio_is_entered(self.read_also)
            statements.append(f'CREATE POLICY read_also ON "{table}" FOR SELECT USING ({outside})')
        if self._has_keys:
            statements.append(
                f'ALTER TABLE "{table}" ADD CONSTRAINT "{table}_tenant_key" UNIQUE (studio_id, id)'
            )
            statements += [_composite_key(model, field) for field in _tenant_references(model)]
        return statements

    def backwards(self, model: type[models.Model]) -> list[str]:
        table = model._meta.db_table
        statements = []
        if self._has_keys:
            statements += [_drop(table, _key_name(table, field)) for field in _tenant_references(model)]
            statements.append(_drop(table, f"{table}_tenant_key"))
        return [
            *statements,
            f'DROP POLICY IF EXISTS read_also ON "{table}"',
            f'DROP POLICY tenant ON "{table}"',
            f'ALTER TABLE "{table}" NO FORCE ROW LEVEL SECURITY',
            f'ALTER TABLE "{table}" DISABLE ROW LEVEL SECURITY',
        ]

    @property
    def _has_keys(self) -> bool:
        return self.references and self.tenant_column == "studio_id"


class GuardReference(TableOperation):
    """The composite key of a tenant foreign key that is added to a table after it was guarded."""

    def __init__(self, model_name: str, field_name: str) -> None:
        super().__init__(model_name)
        self.field_name = field_name

    def deconstruct(self) -> tuple[str, list[object], dict[str, object]]:
        return type(self).__name__, [self.model_name, self.field_name], {}

    def forwards(self, model: type[models.Model]) -> list[str]:
        return [_composite_key(model, model._meta.get_field(self.field_name))]

    def backwards(self, model: type[models.Model]) -> list[str]:
        table = model._meta.db_table
        return [_drop(table, _key_name(table, model._meta.get_field(self.field_name)))]


class AppendOnly(TableOperation):
    """Rows of this table are written once: PostgreSQL refuses to update, delete or truncate them."""

    def deconstruct(self) -> tuple[str, list[object], dict[str, object]]:
        return type(self).__name__, [self.model_name], {}

    def forwards(self, model: type[models.Model]) -> list[str]:
        table = model._meta.db_table
        refuse = "EXECUTE FUNCTION billowbook_refuse_change()"
        return [
            f'CREATE TRIGGER append_only BEFORE UPDATE OR DELETE ON "{table}" FOR EACH ROW {refuse}',
            f'CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON "{table}" FOR EACH STATEMENT {refuse}',
        ]

    def backwards(self, model: type[models.Model]) -> list[str]:
        table = model._meta.db_table
        return [f'DROP TRIGGER append_only ON "{table}"', f'DROP TRIGGER append_only_whole ON "{table}"']


# A superuser's session may switch this off for itself (tests empty their tables so); the app's role cannot.
REFUSE_CHANGE_SQL = """
CREATE FUNCTION billowbook_refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'rows of % are written once and never changed (% refused)', TG_TABLE_NAME, TG_OP
        USING ERRCODE = 'restrict_violation';
END $$
"""


def _tenant_references(model: type[models.Model]) -> list[TenantReference]:
    from studio.tenancy.models import TenantForeignKey

    return [field for field in model._meta.local_fields if isinstance(field, TenantForeignKey)]


def _drop(table: str, constraint: str) -> str:
    return f'ALTER TABLE "{table}" DROP CONSTRAINT "{constraint}"'


def _key_name(table: str, field: TenantReference) -> str:
    return f"{table}_{field.column}_tenant_fk"[:63]


def _composite_key(model: type[models.Model], field: TenantReference) -> str:
    table = model._meta.db_table
    target = field.related_model._meta.db_table
    return (
        f'ALTER TABLE "{table}" ADD CONSTRAINT "{_key_name(table, field)}"'
        f' FOREIGN KEY (studio_id, "{field.column}") REFERENCES "{target}" (studio_id, id)'
        " DEFERRABLE INITIALLY DEFERRED"
    )
