"""A phone may be given one event by a link."""

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
    dependencies = [
        ("studio", "0005_look_along"),
    ]

    operations = [
        migrations.CreateModel(
            name="CrewPhone",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(help_text="What is shown beside its ticks.", max_length=40)),
                (
                    "device_hash",
                    models.CharField(
                        blank=True,
                        help_text="SHA-256 of what the device that took it up keeps, hexadecimal.",
                        max_length=64,
                    ),
                ),
                ("taken_at", models.DateTimeField(help_text="When a device took it up.", null=True)),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                (
                    "link",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="studio.publiclink",
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
                "ordering": ["made_at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="CrewPhoneEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("pgh_context", pghistory.utils.JSONField(null=True)),
                ("id", models.BigIntegerField()),
                ("name", models.CharField(help_text="What is shown beside its ticks.", max_length=40)),
                ("taken_at", models.DateTimeField(help_text="When a device took it up.", null=True)),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                (
                    "link",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="studio.publiclink",
                    ),
                ),
                (
                    "pgh_obj",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="history",
                        to="studio.crewphone",
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
            model_name="crewphone",
            constraint=models.UniqueConstraint(fields=("studio", "link"), name="studio_crewphone_link_key"),
        ),
        migrations.AddConstraint(
            model_name="crewphone",
            constraint=models.CheckConstraint(
                condition=models.Q(("name", ""), _negated=True), name="studio_crewphone_named"
            ),
        ),
        migrations.AddConstraint(
            model_name="crewphone",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("device_hash", ""), ("taken_at", None)),
                    models.Q(models.Q(("device_hash", ""), _negated=True), ("taken_at__isnull", False)),
                    _connector="OR",
                ),
                name="studio_crewphone_taken_by_a_device",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="crewphone",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "studio_crewphoneevent" ("id", "link_id", "made_at", "name", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "studio_id", "taken_at") VALUES (NEW."id", NEW."link_id", NEW."made_at", NEW."name", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."studio_id", NEW."taken_at"); RETURN NULL;',
                    hash="3d3c9105521e675a80c5f2e535bc35d32cfbe072",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_85817",
                    table="studio_crewphone",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="crewphone",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition='WHEN (OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."link_id" IS DISTINCT FROM (NEW."link_id") OR OLD."made_at" IS DISTINCT FROM (NEW."made_at") OR OLD."name" IS DISTINCT FROM (NEW."name") OR OLD."studio_id" IS DISTINCT FROM (NEW."studio_id") OR OLD."taken_at" IS DISTINCT FROM (NEW."taken_at"))',
                    func='INSERT INTO "studio_crewphoneevent" ("id", "link_id", "made_at", "name", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "studio_id", "taken_at") VALUES (NEW."id", NEW."link_id", NEW."made_at", NEW."name", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."studio_id", NEW."taken_at"); RETURN NULL;',
                    hash="69f5a260005296e20bec27201ea6349d8c4ee56a",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_0f045",
                    table="studio_crewphone",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="crewphone",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "studio_crewphoneevent" ("id", "link_id", "made_at", "name", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "studio_id", "taken_at") VALUES (OLD."id", OLD."link_id", OLD."made_at", OLD."name", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."studio_id", OLD."taken_at"); RETURN NULL;',
                    hash="9e1a7321b5f04824b4a330ef7ad50f763cf3f542",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_552bb",
                    table="studio_crewphone",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="crewphoneevent",
            trigger=pgtrigger.compiler.Trigger(
                name="append_only",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;",
                    hash="517f80d21dae9c822770902b79ff069f4aec2ad3",
                    operation="UPDATE OR DELETE",
                    pgid="pgtrigger_append_only_88cbe",
                    table="studio_crewphoneevent",
                    when="BEFORE",
                ),
            ),
        ),
        GuardTenantTable("crewphone"),
        GuardTenantTable("crewphoneevent", references=False),
    ]
