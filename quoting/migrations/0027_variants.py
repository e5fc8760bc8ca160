"""Two or three versions of a quote that are offered side by side."""

import django.db.models.deletion
import pgtrigger.compiler
import pgtrigger.migrations
import studio.tenancy.models
from django.conf import settings
from django.db import migrations, models

from studio.tenancy import migrating
from studio.tenancy.operations import GuardReference


class Migration(migrating.Migration):
    dependencies = [
        ("events", "0026_client_language"),
        ("quoting", "0026_mail_texts"),
        ("studio", "0013_country_and_colour"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        pgtrigger.migrations.RemoveTrigger(
            model_name="quote",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="quote",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="quote",
            name="delete_delete",
        ),
        migrations.AddField(
            model_name="quote",
            name="variant_name",
            field=models.CharField(blank=True, help_text="What this version is called.", max_length=40),
        ),
        migrations.AddField(
            model_name="quote",
            name="variant_of",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                editable=False,
                help_text="The quote beside which the client is offered this one, to pick one of them; none: itself.",
                null=True,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="variants",
                to="quoting.quote",
            ),
        ),
        migrations.AddField(
            model_name="quoteevent",
            name="variant_name",
            field=models.CharField(blank=True, help_text="What this version is called.", max_length=40),
        ),
        migrations.AddField(
            model_name="quoteevent",
            name="variant_of",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                editable=False,
                help_text="The quote beside which the client is offered this one, to pick one of them; none: itself.",
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="quoting.quote",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="quote",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_quoteevent" ("by_hand", "changed_by_id", "client_view", "deposit_amount", "deposit_percent", "discount_amount", "discount_percent", "discount_reason", "distance_m", "drive_minutes", "event_id", "id", "instalments", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "rush_percent", "state", "studio_id", "title", "trips", "variant_name", "variant_of_id") VALUES (NEW."by_hand", NEW."changed_by_id", NEW."client_view", NEW."deposit_amount", NEW."deposit_percent", NEW."discount_amount", NEW."discount_percent", NEW."discount_reason", NEW."distance_m", NEW."drive_minutes", NEW."event_id", NEW."id", NEW."instalments", NEW."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."rush_percent", NEW."state", NEW."studio_id", NEW."title", NEW."trips", NEW."variant_name", NEW."variant_of_id"); RETURN NULL;',
                    hash="e208ca6f5b0206c6608046a7bf79f340ce8d5273",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_48141",
                    table="quoting_quote",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="quote",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition='WHEN (OLD."by_hand" IS DISTINCT FROM (NEW."by_hand") OR OLD."changed_by_id" IS DISTINCT FROM (NEW."changed_by_id") OR OLD."client_view" IS DISTINCT FROM (NEW."client_view") OR OLD."deposit_amount" IS DISTINCT FROM (NEW."deposit_amount") OR OLD."deposit_percent" IS DISTINCT FROM (NEW."deposit_percent") OR OLD."discount_amount" IS DISTINCT FROM (NEW."discount_amount") OR OLD."discount_percent" IS DISTINCT FROM (NEW."discount_percent") OR OLD."discount_reason" IS DISTINCT FROM (NEW."discount_reason") OR OLD."distance_m" IS DISTINCT FROM (NEW."distance_m") OR OLD."drive_minutes" IS DISTINCT FROM (NEW."drive_minutes") OR OLD."event_id" IS DISTINCT FROM (NEW."event_id") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."instalments" IS DISTINCT FROM (NEW."instalments") OR OLD."made_at" IS DISTINCT FROM (NEW."made_at") OR OLD."rush_percent" IS DISTINCT FROM (NEW."rush_percent") OR OLD."state" IS DISTINCT FROM (NEW."state") OR OLD."studio_id" IS DISTINCT FROM (NEW."studio_id") OR OLD."title" IS DISTINCT FROM (NEW."title") OR OLD."trips" IS DISTINCT FROM (NEW."trips") OR OLD."variant_name" IS DISTINCT FROM (NEW."variant_name") OR OLD."variant_of_id" IS DISTINCT FROM (NEW."variant_of_id"))',
                    func='INSERT INTO "quoting_quoteevent" ("by_hand", "changed_by_id", "client_view", "deposit_amount", "deposit_percent", "discount_amount", "discount_percent", "discount_reason", "distance_m", "drive_minutes", "event_id", "id", "instalments", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "rush_percent", "state", "studio_id", "title", "trips", "variant_name", "variant_of_id") VALUES (NEW."by_hand", NEW."changed_by_id", NEW."client_view", NEW."deposit_amount", NEW."deposit_percent", NEW."discount_amount", NEW."discount_percent", NEW."discount_reason", NEW."distance_m", NEW."drive_minutes", NEW."event_id", NEW."id", NEW."instalments", NEW."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."rush_percent", NEW."state", NEW."studio_id", NEW."title", NEW."trips", NEW."variant_name", NEW."variant_of_id"); RETURN NULL;',
                    hash="e66e73b9c084cff9cef7f2b7a7a155e4d2710e43",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_97818",
                    table="quoting_quote",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="quote",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_quoteevent" ("by_hand", "changed_by_id", "client_view", "deposit_amount", "deposit_percent", "discount_amount", "discount_percent", "discount_reason", "distance_m", "drive_minutes", "event_id", "id", "instalments", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "rush_percent", "state", "studio_id", "title", "trips", "variant_name", "variant_of_id") VALUES (OLD."by_hand", OLD."changed_by_id", OLD."client_view", OLD."deposit_amount", OLD."deposit_percent", OLD."discount_amount", OLD."discount_percent", OLD."discount_reason", OLD."distance_m", OLD."drive_minutes", OLD."event_id", OLD."id", OLD."instalments", OLD."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."rush_percent", OLD."state", OLD."studio_id", OLD."title", OLD."trips", OLD."variant_name", OLD."variant_of_id"); RETURN NULL;',
                    hash="071bd2b9dcceac0cf18382b6e1b2efa1baaa541d",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_2a3b2",
                    table="quoting_quote",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="quote",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("variant_of", None),
                    models.Q(
                        models.Q(("variant_of", models.F("id")), _negated=True),
                        models.Q(("variant_name", ""), _negated=True),
                    ),
                    _connector="OR",
                ),
                name="quoting_quote_variant_named",
            ),
        ),
        migrations.AddConstraint(
            model_name="quote",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("variant_of", None),
                    models.Q(("state__in", ["offered", "agreed", "declined"]), _negated=True),
                    _connector="OR",
                ),
                name="quoting_quote_variant_state",
            ),
        ),
        GuardReference("quote", "variant_of"),
    ]
