"""Migrations that are applied in one go leave the same tables as Django's step by step."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection, migrations, models
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.state import ProjectState

from studio.tenancy import migrating
from tests import database

STEPS = [
    migrations.CreateModel("Peg", [("id", models.BigAutoField(primary_key=True)), ("size", models.CharField())]),
    migrations.CreateModel(
        "Hat",
        [("id", models.BigAutoField(primary_key=True)), ("peg", models.ForeignKey("studio.Peg", models.CASCADE))],
    ),
    migrations.AddField("hat", "brim", models.PositiveIntegerField(null=True)),
    migrations.AddConstraint("hat", models.UniqueConstraint(fields=["peg", "brim"], name="hat_key")),
    migrations.RunSQL("UPDATE studio_hat SET brim = 1", migrations.RunSQL.noop),
    migrations.AlterField("hat", "brim", models.PositiveIntegerField(default=1)),
    migrations.AddIndex("peg", models.Index(fields=["size"], name="peg_size")),
    # One field twice in a run, then two fields once each.
    migrations.AlterField("peg", "size", models.CharField(max_length=15)),
    migrations.AlterField("peg", "size", models.CharField(max_length=18)),
    migrations.AddIndex("peg", models.Index(fields=["id", "size"], name="peg_id_size")),
    migrations.AlterField("hat", "brim", models.PositiveIntegerField(default=2)),
    migrations.AlterField("peg", "size", models.CharField(max_length=20)),
    migrations.AddField("peg", "colour", models.CharField(max_length=9, default="oat")),
    migrations.RemoveField("hat", "peg"),
    migrations.AddField("hat", "hung_on", models.ForeignKey("studio.Peg", models.PROTECT, null=True)),
]  # fmt: skip


def tables(kind: type[migrations.Migration]) -> tuple[list[Any], list[Any], set[str]]:
    """Columns and indexes after the steps, and the fields that Django then knows of."""
    made = type("Steps", (kind,), {"operations": STEPS})
    with connection.schema_editor() as editor:
        state = made("steps", "studio").apply(ProjectState(), editor)
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT table_name, column_name, data_type, character_maximum_length, is_nullable"
            " FROM information_schema.columns WHERE table_name IN ('studio_hat', 'studio_peg') ORDER BY 1, 2"
        )
        columns = cursor.fetchall()
        cursor.execute(
            "SELECT regexp_replace(indexdef, '_[0-9a-f]{8}', '', 'g') FROM pg_indexes"
            " WHERE tablename IN ('studio_hat', 'studio_peg') ORDER BY 1"
        )
        indexes = cursor.fetchall()
        cursor.execute("DROP TABLE studio_hat, studio_peg")
    known = state.apps.get_model("studio", "hat")._meta.get_fields()
    return columns, indexes, {field.name for field in known}


@pytest.mark.django_db(transaction=True)
def test_in_one_go_and_step_by_step_make_the_same_tables() -> None:
    with database.owner_connected():
        in_one_go, step_by_step = (tables(kind) for kind in (migrating.Migration, migrations.Migration))
    assert in_one_go == step_by_step
    columns, _, known = in_one_go
    assert ("studio_peg", "size", "character varying", 20, "NO") in columns
    assert ("studio_hat", "brim", "integer", None, "NO") in columns
    assert known == {"id", "brim", "hung_on"}


def test_every_migration_of_ours_is_applied_in_one_go() -> None:
    loader = MigrationLoader(None)
    ours = {"studio", "stock", "events", "quoting"}
    slow = [
        f"{app}.{name}: let its class derive from studio.migrating.Migration"
        for (app, name), migration in loader.disk_migrations.items()
        if app in ours and not isinstance(migration, migrating.Migration)
    ]
    assert slow == []
