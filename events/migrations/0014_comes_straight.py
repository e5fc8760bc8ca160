"""What is to come straight from another event, for one that isn't agreed yet."""

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
    """Wishes, guarded."""

    dependencies = [
        ("events", "0013_said_by_phones"),
        ("studio", "0006_crew_phones"),
    ]

    operations = [
        migrations.CreateModel(
            name="ComesStraight",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("code", models.CharField(max_length=80)),
                ("label", models.CharField(max_length=160)),
                ("quantity", models.PositiveIntegerField()),
                ("unwashed", models.BooleanField(default=False)),
                (
                    "event",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="comes_straight",
                        to="events.event",
                    ),
                ),
                (
                    "giver",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="goes_straight",
                        to="events.event",
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
            name="ComesStraightEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("pgh_context", pghistory.utils.JSONField(null=True)),
                ("id", models.BigIntegerField()),
                ("code", models.CharField(max_length=80)),
                ("label", models.CharField(max_length=160)),
                ("quantity", models.PositiveIntegerField()),
                ("unwashed", models.BooleanField(default=False)),
                (
                    "event",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="events.event",
                    ),
                ),
                (
                    "giver",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="events.event",
                    ),
                ),
                (
                    "pgh_obj",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="history",
                        to="events.comesstraight",
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
            model_name="comesstraight",
            constraint=models.UniqueConstraint(
                fields=("studio", "event", "giver", "code"), name="events_comesstraight_key"
            ),
        ),
        migrations.AddConstraint(
            model_name="comesstraight",
            constraint=models.CheckConstraint(
                condition=models.Q(("quantity__gt", 0)), name="events_comesstraight_some"
            ),
        ),
        migrations.AddConstraint(
            model_name="comesstraight",
            constraint=models.CheckConstraint(
                condition=models.Q(("event", models.F("giver")), _negated=True),
                name="events_comesstraight_from_another",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="comesstraight",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "events_comesstraightevent" ("code", "event_id", "giver_id", "id", "label", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id", "unwashed") VALUES (NEW."code", NEW."event_id", NEW."giver_id", NEW."id", NEW."label", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."quantity", NEW."studio_id", NEW."unwashed"); RETURN NULL;',
                    hash="1fb7de9860f8cc576232140588a5f6ae597bfb3a",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_43848",
                    table="events_comesstraight",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="comesstraight",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "events_comesstraightevent" ("code", "event_id", "giver_id", "id", "label", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id", "unwashed") VALUES (NEW."code", NEW."event_id", NEW."giver_id", NEW."id", NEW."label", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."quantity", NEW."studio_id", NEW."unwashed"); RETURN NULL;',
                    hash="77edd0f91cf59e0de93e4d53b81f5c7c4d033056",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_a5cf5",
                    table="events_comesstraight",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="comesstraight",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "events_comesstraightevent" ("code", "event_id", "giver_id", "id", "label", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id", "unwashed") VALUES (OLD."code", OLD."event_id", OLD."giver_id", OLD."id", OLD."label", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."quantity", OLD."studio_id", OLD."unwashed"); RETURN NULL;',
                    hash="9f684d7ce890acb698c2e19646ea94b3913bf920",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_b8567",
                    table="events_comesstraight",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="comesstraightevent",
            trigger=pgtrigger.compiler.Trigger(
                name="append_only",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;",
                    hash="3f66f9d9b4c0220933006dda4c6472a834f0f2cb",
                    operation="UPDATE OR DELETE",
                    pgid="pgtrigger_append_only_3218e",
                    table="events_comesstraightevent",
                    when="BEFORE",
                ),
            ),
        ),
        GuardTenantTable("comesstraight"),
        GuardTenantTable("comesstraightevent", references=False),
    ]
