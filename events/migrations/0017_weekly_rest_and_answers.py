"""Weekly rest, when crew is asked again, and the hours that an answer was given for."""

from __future__ import annotations

import django.core.validators
import pgtrigger.compiler
import pgtrigger.migrations
from decimal import Decimal
from django.db import migrations, models

from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("events", "0016_plain_labels"),
        ("studio", "0007_read_also_outside_studios_only"),
    ]

    operations = [
        pgtrigger.migrations.RemoveTrigger(
            model_name="crewcall",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="crewcall",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="crewcall",
            name="delete_delete",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="workrules",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="workrules",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="workrules",
            name="delete_delete",
        ),
        migrations.AddField(
            model_name="crewcall",
            name="answer_ends_at",
            field=models.DateTimeField(null=True),
        ),
        migrations.AddField(
            model_name="crewcall",
            name="answer_starts_at",
            field=models.DateTimeField(
                help_text="The hours that the question or the answer was for.", null=True
            ),
        ),
        migrations.AddField(
            model_name="crewcallevent",
            name="answer_ends_at",
            field=models.DateTimeField(null=True),
        ),
        migrations.AddField(
            model_name="crewcallevent",
            name="answer_starts_at",
            field=models.DateTimeField(
                help_text="The hours that the question or the answer was for.", null=True
            ),
        ),
        migrations.AddField(
            model_name="workrules",
            name="ask_again_minutes",
            field=models.PositiveSmallIntegerField(
                default=30,
                help_text="A smaller move keeps their answer.",
                validators=[django.core.validators.MaxValueValidator(600)],
                verbose_name="ask crew again when a shift moves by more than",
            ),
        ),
        migrations.AddField(
            model_name="workrules",
            name="weekly_rest_hours",
            field=models.DecimalField(
                blank=True,
                decimal_places=2,
                help_text="In one piece with the rest between two days. Empty: 24 in Europe, otherwise none.",
                max_digits=5,
                null=True,
                validators=[
                    django.core.validators.MinValueValidator(Decimal("0")),
                    django.core.validators.MaxValueValidator(Decimal("72")),
                ],
                verbose_name="more rest once in seven days",
            ),
        ),
        migrations.AddField(
            model_name="workrulesevent",
            name="ask_again_minutes",
            field=models.PositiveSmallIntegerField(
                default=30,
                help_text="A smaller move keeps their answer.",
                validators=[django.core.validators.MaxValueValidator(600)],
                verbose_name="ask crew again when a shift moves by more than",
            ),
        ),
        migrations.AddField(
            model_name="workrulesevent",
            name="weekly_rest_hours",
            field=models.DecimalField(
                blank=True,
                decimal_places=2,
                help_text="In one piece with the rest between two days. Empty: 24 in Europe, otherwise none.",
                max_digits=5,
                null=True,
                validators=[
                    django.core.validators.MinValueValidator(Decimal("0")),
                    django.core.validators.MaxValueValidator(Decimal("72")),
                ],
                verbose_name="more rest once in seven days",
            ),
        ),
        migrations.AlterField(
            model_name="workrules",
            name="install_hands",
            field=models.PositiveSmallIntegerField(
                default=2,
                validators=[
                    django.core.validators.MinValueValidator(1),
                    django.core.validators.MaxValueValidator(30),
                ],
                verbose_name="people to install",
            ),
        ),
        migrations.AlterField(
            model_name="workrules",
            name="prep_hands",
            field=models.PositiveSmallIntegerField(
                default=2,
                validators=[
                    django.core.validators.MinValueValidator(1),
                    django.core.validators.MaxValueValidator(30),
                ],
                verbose_name="people for prep",
            ),
        ),
        migrations.AlterField(
            model_name="workrules",
            name="strike_hands",
            field=models.PositiveSmallIntegerField(
                default=2,
                validators=[
                    django.core.validators.MinValueValidator(1),
                    django.core.validators.MaxValueValidator(30),
                ],
                verbose_name="people to take down",
            ),
        ),
        migrations.AlterField(
            model_name="workrulesevent",
            name="install_hands",
            field=models.PositiveSmallIntegerField(
                default=2,
                validators=[
                    django.core.validators.MinValueValidator(1),
                    django.core.validators.MaxValueValidator(30),
                ],
                verbose_name="people to install",
            ),
        ),
        migrations.AlterField(
            model_name="workrulesevent",
            name="prep_hands",
            field=models.PositiveSmallIntegerField(
                default=2,
                validators=[
                    django.core.validators.MinValueValidator(1),
                    django.core.validators.MaxValueValidator(30),
                ],
                verbose_name="people for prep",
            ),
        ),
        migrations.AlterField(
            model_name="workrulesevent",
            name="strike_hands",
            field=models.PositiveSmallIntegerField(
                default=2,
                validators=[
                    django.core.validators.MinValueValidator(1),
                    django.core.validators.MaxValueValidator(30),
                ],
                verbose_name="people to take down",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="crewcall",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "events_crewcallevent" ("answer", "answer_ends_at", "answer_starts_at", "answered_at", "asked_at", "drives", "fixed", "id", "member_id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "shift_id", "studio_id") VALUES (NEW."answer", NEW."answer_ends_at", NEW."answer_starts_at", NEW."answered_at", NEW."asked_at", NEW."drives", NEW."fixed", NEW."id", NEW."member_id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."shift_id", NEW."studio_id"); RETURN NULL;',
                    hash="4ed716edac37bce5ab1ab05178f68f6cb6dd3103",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_3adc9",
                    table="events_crewcall",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="crewcall",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "events_crewcallevent" ("answer", "answer_ends_at", "answer_starts_at", "answered_at", "asked_at", "drives", "fixed", "id", "member_id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "shift_id", "studio_id") VALUES (NEW."answer", NEW."answer_ends_at", NEW."answer_starts_at", NEW."answered_at", NEW."asked_at", NEW."drives", NEW."fixed", NEW."id", NEW."member_id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."shift_id", NEW."studio_id"); RETURN NULL;',
                    hash="fdcc0f23bb254ec8e2abf68f593f14bc6d1c19be",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_018de",
                    table="events_crewcall",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="crewcall",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "events_crewcallevent" ("answer", "answer_ends_at", "answer_starts_at", "answered_at", "asked_at", "drives", "fixed", "id", "member_id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "shift_id", "studio_id") VALUES (OLD."answer", OLD."answer_ends_at", OLD."answer_starts_at", OLD."answered_at", OLD."asked_at", OLD."drives", OLD."fixed", OLD."id", OLD."member_id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."shift_id", OLD."studio_id"); RETURN NULL;',
                    hash="bf596576c4872765a7f9ac9ca052266ea547f37c",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_c1268",
                    table="events_crewcall",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="workrules",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "events_workrulesevent" ("ask_again_minutes", "daily_rest_hours", "drying_hours", "fresh_hours", "id", "install_hands", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_hands", "strike_hands", "studio_id", "weekly_hours", "weekly_rest_hours") VALUES (NEW."ask_again_minutes", NEW."daily_rest_hours", NEW."drying_hours", NEW."fresh_hours", NEW."id", NEW."install_hands", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."prep_hands", NEW."strike_hands", NEW."studio_id", NEW."weekly_hours", NEW."weekly_rest_hours"); RETURN NULL;',
                    hash="eb614480266cbf6a8365c69c0c8b95bbe61ccc11",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_17933",
                    table="events_workrules",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="workrules",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "events_workrulesevent" ("ask_again_minutes", "daily_rest_hours", "drying_hours", "fresh_hours", "id", "install_hands", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_hands", "strike_hands", "studio_id", "weekly_hours", "weekly_rest_hours") VALUES (NEW."ask_again_minutes", NEW."daily_rest_hours", NEW."drying_hours", NEW."fresh_hours", NEW."id", NEW."install_hands", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."prep_hands", NEW."strike_hands", NEW."studio_id", NEW."weekly_hours", NEW."weekly_rest_hours"); RETURN NULL;',
                    hash="a66c2b6ed6d4ebc8ded8ee8ff9c548d95b11e4a1",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_3389f",
                    table="events_workrules",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="workrules",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "events_workrulesevent" ("ask_again_minutes", "daily_rest_hours", "drying_hours", "fresh_hours", "id", "install_hands", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_hands", "strike_hands", "studio_id", "weekly_hours", "weekly_rest_hours") VALUES (OLD."ask_again_minutes", OLD."daily_rest_hours", OLD."drying_hours", OLD."fresh_hours", OLD."id", OLD."install_hands", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."prep_hands", OLD."strike_hands", OLD."studio_id", OLD."weekly_hours", OLD."weekly_rest_hours"); RETURN NULL;',
                    hash="c95bd1f2aa2b21f872aca926da96e11e1f26e87f",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_087f6",
                    table="events_workrules",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="workrules",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("weekly_rest_hours", None),
                    models.Q(("weekly_rest_hours__gte", 0), ("weekly_rest_hours__lte", 72)),
                    _connector="OR",
                ),
                name="events_workrules_weekly_rest_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="workrules",
            constraint=models.CheckConstraint(
                condition=models.Q(("ask_again_minutes__lte", 600)), name="events_workrules_ask_again_range"
            ),
        ),
    ]
