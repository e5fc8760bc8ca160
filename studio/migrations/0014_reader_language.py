"""The language of whoever reads the crew's pages: a person, or a phone with a link."""

import pgtrigger.compiler
import pgtrigger.migrations
from django.db import migrations, models
from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("studio", "0013_country_and_colour"),
    ]

    operations = [
        pgtrigger.migrations.RemoveTrigger(
            model_name="crewphone",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="crewphone",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="crewphone",
            name="delete_delete",
        ),
        migrations.AddField(
            model_name="crewphone",
            name="language",
            field=models.CharField(
                blank=True,
                choices=[("en", "English"), ("de", "Deutsch")],
                help_text="ISO 639-1. Empty: the studio's.",
                max_length=2,
            ),
        ),
        migrations.AddField(
            model_name="crewphoneevent",
            name="language",
            field=models.CharField(
                blank=True,
                choices=[("en", "English"), ("de", "Deutsch")],
                help_text="ISO 639-1. Empty: the studio's.",
                max_length=2,
            ),
        ),
        migrations.AddField(
            model_name="person",
            name="language",
            field=models.CharField(
                blank=True,
                choices=[("en", "English"), ("de", "Deutsch")],
                help_text="ISO 639-1. Empty: the studio's.",
                max_length=2,
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="crewphone",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "studio_crewphoneevent" ("id", "language", "link_id", "made_at", "name", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "studio_id", "taken_at") VALUES (NEW."id", NEW."language", NEW."link_id", NEW."made_at", NEW."name", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."studio_id", NEW."taken_at"); RETURN NULL;',
                    hash="38903eb31eecf960b40914c66ec866f7efdc5a74",
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
                    condition='WHEN (OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."language" IS DISTINCT FROM (NEW."language") OR OLD."link_id" IS DISTINCT FROM (NEW."link_id") OR OLD."made_at" IS DISTINCT FROM (NEW."made_at") OR OLD."name" IS DISTINCT FROM (NEW."name") OR OLD."studio_id" IS DISTINCT FROM (NEW."studio_id") OR OLD."taken_at" IS DISTINCT FROM (NEW."taken_at"))',
                    func='INSERT INTO "studio_crewphoneevent" ("id", "language", "link_id", "made_at", "name", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "studio_id", "taken_at") VALUES (NEW."id", NEW."language", NEW."link_id", NEW."made_at", NEW."name", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."studio_id", NEW."taken_at"); RETURN NULL;',
                    hash="0415d4513ef06f0d869af562e9325f863819db64",
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
                    func='INSERT INTO "studio_crewphoneevent" ("id", "language", "link_id", "made_at", "name", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "studio_id", "taken_at") VALUES (OLD."id", OLD."language", OLD."link_id", OLD."made_at", OLD."name", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."studio_id", OLD."taken_at"); RETURN NULL;',
                    hash="2cdcaef7eaa4149615b9ea7ea98557564c8e79b5",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_552bb",
                    table="studio_crewphone",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="crewphone",
            constraint=models.CheckConstraint(
                condition=models.Q(("language__in", ["", "en", "de"])), name="studio_crewphone_language_known"
            ),
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.CheckConstraint(
                condition=models.Q(("language__in", ["", "en", "de"])), name="studio_person_language_known"
            ),
        ),
    ]
