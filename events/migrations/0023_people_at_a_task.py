"""How many work at a task is called its people, in ticks as in the rules of work."""

import pgtrigger.compiler
import pgtrigger.migrations
from django.conf import settings
from django.db import migrations, models

from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("events", "0022_height_agreed"),
        ("studio", "0009_promised_by_words"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
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
        migrations.RemoveConstraint(
            model_name="tick",
            name="events_tick_says_what_its_kind_says",
        ),
        migrations.RemoveConstraint(
            model_name="workrules",
            name="events_workrules_hands_range",
        ),
        migrations.RenameField(
            model_name="tick",
            old_name="hands",
            new_name="people",
        ),
        migrations.RenameField(
            model_name="workrules",
            old_name="install_hands",
            new_name="install_people",
        ),
        migrations.RenameField(
            model_name="workrules",
            old_name="prep_hands",
            new_name="prep_people",
        ),
        migrations.RenameField(
            model_name="workrules",
            old_name="strike_hands",
            new_name="strike_people",
        ),
        migrations.RenameField(
            model_name="workrulesevent",
            old_name="install_hands",
            new_name="install_people",
        ),
        migrations.RenameField(
            model_name="workrulesevent",
            old_name="prep_hands",
            new_name="prep_people",
        ),
        migrations.RenameField(
            model_name="workrulesevent",
            old_name="strike_hands",
            new_name="strike_people",
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="workrules",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "events_workrulesevent" ("ask_again_minutes", "daily_rest_hours", "drying_hours", "fresh_hours", "id", "install_people", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_people", "strike_people", "studio_id", "weekly_hours", "weekly_rest_hours") VALUES (NEW."ask_again_minutes", NEW."daily_rest_hours", NEW."drying_hours", NEW."fresh_hours", NEW."id", NEW."install_people", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."prep_people", NEW."strike_people", NEW."studio_id", NEW."weekly_hours", NEW."weekly_rest_hours"); RETURN NULL;',
                    hash="e1fe82aede4698dff5afa4f8c33d98bcaa354e67",
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
                    func='INSERT INTO "events_workrulesevent" ("ask_again_minutes", "daily_rest_hours", "drying_hours", "fresh_hours", "id", "install_people", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_people", "strike_people", "studio_id", "weekly_hours", "weekly_rest_hours") VALUES (NEW."ask_again_minutes", NEW."daily_rest_hours", NEW."drying_hours", NEW."fresh_hours", NEW."id", NEW."install_people", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."prep_people", NEW."strike_people", NEW."studio_id", NEW."weekly_hours", NEW."weekly_rest_hours"); RETURN NULL;',
                    hash="e7c82bda1a0b626fcda07dce596028a975a6cc5c",
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
                    func='INSERT INTO "events_workrulesevent" ("ask_again_minutes", "daily_rest_hours", "drying_hours", "fresh_hours", "id", "install_people", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_people", "strike_people", "studio_id", "weekly_hours", "weekly_rest_hours") VALUES (OLD."ask_again_minutes", OLD."daily_rest_hours", OLD."drying_hours", OLD."fresh_hours", OLD."id", OLD."install_people", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."prep_people", OLD."strike_people", OLD."studio_id", OLD."weekly_hours", OLD."weekly_rest_hours"); RETURN NULL;',
                    hash="f5146a7423f8dc971c146854cadbb302bd5b140d",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_087f6",
                    table="events_workrules",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="tick",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind__in", ["loaded", "back"]), ("line__isnull", False)),
                    models.Q(("kind", "note"), models.Q(("text", ""), _negated=True)),
                    models.Q(
                        ("kind__in", ["step", "undone"]),
                        ("line__isnull", True),
                        ("task__in", ["prepared", "installed", "struck", "counted_back"]),
                    ),
                    models.Q(
                        ("kind", "hours"),
                        ("line__isnull", True),
                        ("people__gte", 1),
                        models.Q(("task", ""), _negated=True),
                    ),
                    _connector="OR",
                ),
                name="events_tick_says_what_its_kind_says",
            ),
        ),
        migrations.AddConstraint(
            model_name="workrules",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("prep_people__gte", 1),
                    ("prep_people__lte", 30),
                    ("install_people__gte", 1),
                    ("install_people__lte", 30),
                    ("strike_people__gte", 1),
                    ("strike_people__lte", 30),
                ),
                name="events_workrules_people_range",
            ),
        ),
    ]
