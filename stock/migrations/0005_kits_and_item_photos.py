"""Kits, and what items look like."""

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
    """Kits with their parts, and a photo of each item."""

    dependencies = [
        ("stock", "0004_guard_buying_and_alerts"),
        ("studio", "0005_look_along"),
    ]

    operations = [
        migrations.CreateModel(
            name="Kit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("code", models.CharField(max_length=80)),
                ("name", models.CharField(max_length=120)),
                ("note", models.TextField(blank=True)),
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
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="KitEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("pgh_context", pghistory.utils.JSONField(null=True)),
                ("id", models.BigIntegerField()),
                ("code", models.CharField(max_length=80)),
                ("name", models.CharField(max_length=120)),
                ("note", models.TextField(blank=True)),
                (
                    "pgh_obj",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="history",
                        to="stock.kit",
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
        migrations.CreateModel(
            name="KitPart",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("quantity", models.PositiveIntegerField(default=1)),
                (
                    "item",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="in_kits",
                        to="stock.item",
                    ),
                ),
                (
                    "kit",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="parts",
                        to="stock.kit",
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
                "ordering": ["pk"],
            },
        ),
        migrations.CreateModel(
            name="KitPartEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("pgh_context", pghistory.utils.JSONField(null=True)),
                ("id", models.BigIntegerField()),
                ("quantity", models.PositiveIntegerField(default=1)),
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
                    "kit",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="stock.kit",
                    ),
                ),
                (
                    "pgh_obj",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="history",
                        to="stock.kitpart",
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
        migrations.CreateModel(
            name="ItemPhoto",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "file",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="studio.storedfile",
                    ),
                ),
                (
                    "item",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="photos",
                        to="stock.item",
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
                "constraints": [
                    models.UniqueConstraint(fields=("studio", "item"), name="stock_itemphoto_item_key")
                ],
            },
        ),
        migrations.AddConstraint(
            model_name="kit",
            constraint=models.UniqueConstraint(fields=("studio", "code"), name="stock_kit_code_key"),
        ),
        migrations.AddConstraint(
            model_name="kit",
            constraint=models.CheckConstraint(
                condition=models.Q(("code__regex", "^kit-[a-z0-9]+(-[a-z0-9]+)*$")),
                name="stock_kit_code_shape",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="kit",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_kitevent" ("code", "id", "name", "note", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "studio_id") VALUES (NEW."code", NEW."id", NEW."name", NEW."note", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."studio_id"); RETURN NULL;',
                    hash="5a06132d180bf5d07a7296522ed4e6db8d475a3b",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_e1c11",
                    table="stock_kit",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="kit",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "stock_kitevent" ("code", "id", "name", "note", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "studio_id") VALUES (NEW."code", NEW."id", NEW."name", NEW."note", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."studio_id"); RETURN NULL;',
                    hash="4cfc0a6e3660a5be1f497cbe797cada4005804ff",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_55722",
                    table="stock_kit",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="kit",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_kitevent" ("code", "id", "name", "note", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "studio_id") VALUES (OLD."code", OLD."id", OLD."name", OLD."note", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."studio_id"); RETURN NULL;',
                    hash="11bd3ecd160a79abb127d9644b91fb30148a36e5",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_ef88a",
                    table="stock_kit",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="kitevent",
            trigger=pgtrigger.compiler.Trigger(
                name="append_only",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;",
                    hash="75ebfa371464dc2531135c0e2f39dbc42c9cb1b6",
                    operation="UPDATE OR DELETE",
                    pgid="pgtrigger_append_only_35be2",
                    table="stock_kitevent",
                    when="BEFORE",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="kitpart",
            constraint=models.UniqueConstraint(
                fields=("studio", "kit", "item"), name="stock_kitpart_item_key"
            ),
        ),
        migrations.AddConstraint(
            model_name="kitpart",
            constraint=models.CheckConstraint(
                condition=models.Q(("quantity__gte", 1)), name="stock_kitpart_some"
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="kitpart",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_kitpartevent" ("id", "item_id", "kit_id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id") VALUES (NEW."id", NEW."item_id", NEW."kit_id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."quantity", NEW."studio_id"); RETURN NULL;',
                    hash="8a6eac5cbcd917dc0f235867497321d5b414f92c",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_23295",
                    table="stock_kitpart",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="kitpart",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "stock_kitpartevent" ("id", "item_id", "kit_id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id") VALUES (NEW."id", NEW."item_id", NEW."kit_id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."quantity", NEW."studio_id"); RETURN NULL;',
                    hash="c75d4e4ba16015ddb0e4de23e15049e3587987d2",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_923e0",
                    table="stock_kitpart",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="kitpart",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_kitpartevent" ("id", "item_id", "kit_id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id") VALUES (OLD."id", OLD."item_id", OLD."kit_id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."quantity", OLD."studio_id"); RETURN NULL;',
                    hash="612fc9ec332433592b7d1e37efd3b9112770d3cc",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_0f2cf",
                    table="stock_kitpart",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="kitpartevent",
            trigger=pgtrigger.compiler.Trigger(
                name="append_only",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;",
                    hash="b4a8c5836c806eb1043866101617373a269d8a37",
                    operation="UPDATE OR DELETE",
                    pgid="pgtrigger_append_only_9bf14",
                    table="stock_kitpartevent",
                    when="BEFORE",
                ),
            ),
        ),
        GuardTenantTable("kit"),
        GuardTenantTable("kitpart"),
        GuardTenantTable("itemphoto"),
        GuardTenantTable("kitevent", references=False),
        GuardTenantTable("kitpartevent", references=False),
    ]
