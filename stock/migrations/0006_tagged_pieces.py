"""Pieces told apart by their tags."""

from __future__ import annotations

import django.db.models.deletion
import pghistory.utils
import pgtrigger.compiler
import pgtrigger.migrations
import studio.tenancy.models
from django.db import migrations, models

from studio.tenancy import migrating
from studio.tenancy.operations import GuardTenantTable


class Migration(migrating.Migration):
    """Pieces told apart by their tags."""

    dependencies = [
        ("stock", "0005_kits_and_item_photos"),
        ("studio", "0005_look_along"),
    ]

    operations = [
        migrations.CreateModel(
            name="Piece",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("tag", models.CharField(max_length=30)),
                ("note", models.CharField(blank=True, max_length=160, verbose_name="what to know")),
                ("retired_at", models.DateTimeField(blank=True, editable=False, null=True)),
                (
                    "item",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="pieces",
                        to="stock.item",
                    ),
                ),
                (
                    "mending",
                    studio.tenancy.models.TenantForeignKey(
                        blank=True,
                        db_constraint=False,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="stock.hold",
                    ),
                ),
                (
                    "studio",
                    studio.tenancy.models.StudioKey(
                        editable=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="studio.studio",
                    ),
                ),
            ],
            options={
                "ordering": ["tag"],
            },
        ),
        migrations.CreateModel(
            name="PieceEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("pgh_context", pghistory.utils.JSONField(null=True)),
                ("id", models.BigIntegerField()),
                ("tag", models.CharField(max_length=30)),
                ("note", models.CharField(blank=True, max_length=160, verbose_name="what to know")),
                ("retired_at", models.DateTimeField(blank=True, editable=False, null=True)),
                (
                    "item",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="stock.item",
                    ),
                ),
                (
                    "mending",
                    studio.tenancy.models.TenantForeignKey(
                        blank=True,
                        db_constraint=False,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="stock.hold",
                    ),
                ),
                (
                    "pgh_obj",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="history",
                        to="stock.piece",
                    ),
                ),
                (
                    "studio",
                    studio.tenancy.models.StudioKey(
                        db_constraint=False,
                        editable=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="studio.studio",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddConstraint(
            model_name="piece",
            constraint=models.UniqueConstraint(fields=("studio", "item", "tag"), name="stock_piece_tag_key"),
        ),
        migrations.AddConstraint(
            model_name="piece",
            constraint=models.CheckConstraint(
                condition=models.Q(("tag", ""), _negated=True), name="stock_piece_has_a_tag"
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="piece",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_pieceevent" ("id", "item_id", "mending_id", "note", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "retired_at", "studio_id", "tag") VALUES (NEW."id", NEW."item_id", NEW."mending_id", NEW."note", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."retired_at", NEW."studio_id", NEW."tag"); RETURN NULL;',
                    hash="eff6c7cd500400437a0687483ff3e6b2a4c69062",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_2a77b",
                    table="stock_piece",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="piece",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "stock_pieceevent" ("id", "item_id", "mending_id", "note", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "retired_at", "studio_id", "tag") VALUES (NEW."id", NEW."item_id", NEW."mending_id", NEW."note", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."retired_at", NEW."studio_id", NEW."tag"); RETURN NULL;',
                    hash="9dea40be2dd3c471abb343cf9ff80e22b7cd8627",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_420d3",
                    table="stock_piece",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="piece",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_pieceevent" ("id", "item_id", "mending_id", "note", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "retired_at", "studio_id", "tag") VALUES (OLD."id", OLD."item_id", OLD."mending_id", OLD."note", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."retired_at", OLD."studio_id", OLD."tag"); RETURN NULL;',
                    hash="19fd0a4b74a0e955988b8dfd0c9d1bf636fb7945",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_696db",
                    table="stock_piece",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="pieceevent",
            trigger=pgtrigger.compiler.Trigger(
                name="append_only",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;",
                    hash="56772c7d0f54e42bfa437c1d538af7ba15b2c059",
                    operation="UPDATE OR DELETE",
                    pgid="pgtrigger_append_only_97156",
                    table="stock_pieceevent",
                    when="BEFORE",
                ),
            ),
        ),
        GuardTenantTable("piece"),
        GuardTenantTable("pieceevent", references=False),
    ]
