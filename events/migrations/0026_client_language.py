"""The language of e-mails to a client."""

import pgtrigger.compiler
import pgtrigger.migrations
from django.db import migrations, models
from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("events", "0025_wishes"),
        ("studio", "0013_country_and_colour"),
    ]

    operations = [
        pgtrigger.migrations.RemoveTrigger(
            model_name="client",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="client",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="client",
            name="delete_delete",
        ),
        migrations.AddField(
            model_name="client",
            name="language",
            field=models.CharField(
                blank=True,
                choices=[("en", "English"), ("de", "Deutsch")],
                help_text="ISO 639-1. Empty: the studio's own.",
                max_length=2,
                verbose_name="language of e-mails",
            ),
        ),
        migrations.AddField(
            model_name="clientevent",
            name="language",
            field=models.CharField(
                blank=True,
                choices=[("en", "English"), ("de", "Deutsch")],
                help_text="ISO 639-1. Empty: the studio's own.",
                max_length=2,
                verbose_name="language of e-mails",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="client",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "events_clientevent" ("bill_to", "email", "id", "language", "name", "notes", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "phone", "since", "studio_id") VALUES (NEW."bill_to", NEW."email", NEW."id", NEW."language", NEW."name", NEW."notes", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."phone", NEW."since", NEW."studio_id"); RETURN NULL;',
                    hash="0650ff13a199c24c052b836afc48829bb0be3f45",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_0a5ae",
                    table="events_client",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="client",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "events_clientevent" ("bill_to", "email", "id", "language", "name", "notes", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "phone", "since", "studio_id") VALUES (NEW."bill_to", NEW."email", NEW."id", NEW."language", NEW."name", NEW."notes", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."phone", NEW."since", NEW."studio_id"); RETURN NULL;',
                    hash="b9fdad1d596eeba1962f47e1abcaff126cb1d94e",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_104df",
                    table="events_client",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="client",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "events_clientevent" ("bill_to", "email", "id", "language", "name", "notes", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "phone", "since", "studio_id") VALUES (OLD."bill_to", OLD."email", OLD."id", OLD."language", OLD."name", OLD."notes", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."phone", OLD."since", OLD."studio_id"); RETURN NULL;',
                    hash="92116e3986e5aa07c3698459135b5164692367ed",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_af02b",
                    table="events_client",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="client",
            constraint=models.CheckConstraint(
                condition=models.Q(("language__in", ["", "en", "de"])), name="events_client_language_known"
            ),
        ),
    ]
