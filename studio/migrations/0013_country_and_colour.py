"""A studio's country and the color of its clients' pages; the invitation that it was opened with works once."""

import django.core.validators
import pgtrigger.compiler
import pgtrigger.migrations
import studio.models.studio
from django.db import migrations, models
from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("studio", "0012_first_steps"),
    ]

    operations = [
        pgtrigger.migrations.RemoveTrigger(
            model_name="studio",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="studio",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="studio",
            name="delete_delete",
        ),
        migrations.AddField(
            model_name="studio",
            name="brand_colour",
            field=models.CharField(
                blank=True,
                help_text="Of buttons and links on clients' pages.",
                max_length=7,
                validators=[django.core.validators.RegexValidator("^#[0-9a-f]{6}$", "Choose a color.")],
                verbose_name="brand color",
            ),
        ),
        migrations.AddField(
            model_name="studio",
            name="country",
            field=models.CharField(
                blank=True,
                help_text="ISO 3166-1, such as DE.",
                max_length=2,
                validators=[studio.models.studio.check_country],
            ),
        ),
        migrations.AddField(
            model_name="studio",
            name="opening_key",
            field=models.CharField(
                editable=False,
                help_text="Of the invitation that it was opened with, which works once.",
                max_length=40,
                null=True,
                unique=True,
            ),
        ),
        migrations.AddField(
            model_name="studioevent",
            name="brand_colour",
            field=models.CharField(
                blank=True,
                help_text="Of buttons and links on clients' pages.",
                max_length=7,
                validators=[django.core.validators.RegexValidator("^#[0-9a-f]{6}$", "Choose a color.")],
                verbose_name="brand color",
            ),
        ),
        migrations.AddField(
            model_name="studioevent",
            name="country",
            field=models.CharField(
                blank=True,
                help_text="ISO 3166-1, such as DE.",
                max_length=2,
                validators=[studio.models.studio.check_country],
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="studio",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "studio_studioevent" ("account_holder", "address", "altitude_m", "balance_days", "bic", "brand_colour", "closed_at", "confirmed_by", "country", "currency", "day_ends", "day_starts", "deposit_days", "deposit_percent", "email", "first_steps_open", "iban", "id", "locale", "logo_digest", "name", "offer_days", "opened_at", "payment_words", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "phone", "prices_include_tax", "remind_days", "share_before_agreed", "slug", "tax_number", "terms", "units", "usual_uses", "zone") VALUES (NEW."account_holder", NEW."address", NEW."altitude_m", NEW."balance_days", NEW."bic", NEW."brand_colour", NEW."closed_at", NEW."confirmed_by", NEW."country", NEW."currency", NEW."day_ends", NEW."day_starts", NEW."deposit_days", NEW."deposit_percent", NEW."email", NEW."first_steps_open", NEW."iban", NEW."id", NEW."locale", NEW."logo_digest", NEW."name", NEW."offer_days", NEW."opened_at", NEW."payment_words", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."phone", NEW."prices_include_tax", NEW."remind_days", NEW."share_before_agreed", NEW."slug", NEW."tax_number", NEW."terms", NEW."units", NEW."usual_uses", NEW."zone"); RETURN NULL;',
                    hash="cb05c728d7e53978903aee8fcabf5d0bb75f817f",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_0aecb",
                    table="studio_studio",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="studio",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition='WHEN (OLD."account_holder" IS DISTINCT FROM (NEW."account_holder") OR OLD."address" IS DISTINCT FROM (NEW."address") OR OLD."altitude_m" IS DISTINCT FROM (NEW."altitude_m") OR OLD."balance_days" IS DISTINCT FROM (NEW."balance_days") OR OLD."bic" IS DISTINCT FROM (NEW."bic") OR OLD."brand_colour" IS DISTINCT FROM (NEW."brand_colour") OR OLD."closed_at" IS DISTINCT FROM (NEW."closed_at") OR OLD."confirmed_by" IS DISTINCT FROM (NEW."confirmed_by") OR OLD."country" IS DISTINCT FROM (NEW."country") OR OLD."currency" IS DISTINCT FROM (NEW."currency") OR OLD."day_ends" IS DISTINCT FROM (NEW."day_ends") OR OLD."day_starts" IS DISTINCT FROM (NEW."day_starts") OR OLD."deposit_days" IS DISTINCT FROM (NEW."deposit_days") OR OLD."deposit_percent" IS DISTINCT FROM (NEW."deposit_percent") OR OLD."email" IS DISTINCT FROM (NEW."email") OR OLD."first_steps_open" IS DISTINCT FROM (NEW."first_steps_open") OR OLD."iban" IS DISTINCT FROM (NEW."iban") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."locale" IS DISTINCT FROM (NEW."locale") OR OLD."logo_digest" IS DISTINCT FROM (NEW."logo_digest") OR OLD."name" IS DISTINCT FROM (NEW."name") OR OLD."offer_days" IS DISTINCT FROM (NEW."offer_days") OR OLD."opened_at" IS DISTINCT FROM (NEW."opened_at") OR OLD."payment_words" IS DISTINCT FROM (NEW."payment_words") OR OLD."phone" IS DISTINCT FROM (NEW."phone") OR OLD."prices_include_tax" IS DISTINCT FROM (NEW."prices_include_tax") OR OLD."remind_days" IS DISTINCT FROM (NEW."remind_days") OR OLD."share_before_agreed" IS DISTINCT FROM (NEW."share_before_agreed") OR OLD."slug" IS DISTINCT FROM (NEW."slug") OR OLD."tax_number" IS DISTINCT FROM (NEW."tax_number") OR OLD."terms" IS DISTINCT FROM (NEW."terms") OR OLD."units" IS DISTINCT FROM (NEW."units") OR OLD."usual_uses" IS DISTINCT FROM (NEW."usual_uses") OR OLD."zone" IS DISTINCT FROM (NEW."zone"))',
                    func='INSERT INTO "studio_studioevent" ("account_holder", "address", "altitude_m", "balance_days", "bic", "brand_colour", "closed_at", "confirmed_by", "country", "currency", "day_ends", "day_starts", "deposit_days", "deposit_percent", "email", "first_steps_open", "iban", "id", "locale", "logo_digest", "name", "offer_days", "opened_at", "payment_words", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "phone", "prices_include_tax", "remind_days", "share_before_agreed", "slug", "tax_number", "terms", "units", "usual_uses", "zone") VALUES (NEW."account_holder", NEW."address", NEW."altitude_m", NEW."balance_days", NEW."bic", NEW."brand_colour", NEW."closed_at", NEW."confirmed_by", NEW."country", NEW."currency", NEW."day_ends", NEW."day_starts", NEW."deposit_days", NEW."deposit_percent", NEW."email", NEW."first_steps_open", NEW."iban", NEW."id", NEW."locale", NEW."logo_digest", NEW."name", NEW."offer_days", NEW."opened_at", NEW."payment_words", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."phone", NEW."prices_include_tax", NEW."remind_days", NEW."share_before_agreed", NEW."slug", NEW."tax_number", NEW."terms", NEW."units", NEW."usual_uses", NEW."zone"); RETURN NULL;',
                    hash="fe5c33ac53192bd6d458eb840ca037964d56c5d2",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_e3999",
                    table="studio_studio",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="studio",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "studio_studioevent" ("account_holder", "address", "altitude_m", "balance_days", "bic", "brand_colour", "closed_at", "confirmed_by", "country", "currency", "day_ends", "day_starts", "deposit_days", "deposit_percent", "email", "first_steps_open", "iban", "id", "locale", "logo_digest", "name", "offer_days", "opened_at", "payment_words", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "phone", "prices_include_tax", "remind_days", "share_before_agreed", "slug", "tax_number", "terms", "units", "usual_uses", "zone") VALUES (OLD."account_holder", OLD."address", OLD."altitude_m", OLD."balance_days", OLD."bic", OLD."brand_colour", OLD."closed_at", OLD."confirmed_by", OLD."country", OLD."currency", OLD."day_ends", OLD."day_starts", OLD."deposit_days", OLD."deposit_percent", OLD."email", OLD."first_steps_open", OLD."iban", OLD."id", OLD."locale", OLD."logo_digest", OLD."name", OLD."offer_days", OLD."opened_at", OLD."payment_words", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."phone", OLD."prices_include_tax", OLD."remind_days", OLD."share_before_agreed", OLD."slug", OLD."tax_number", OLD."terms", OLD."units", OLD."usual_uses", OLD."zone"); RETURN NULL;',
                    hash="46bda89dab9fefcadb91ceaec05459288b76de4a",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_0a344",
                    table="studio_studio",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="studio",
            constraint=models.CheckConstraint(
                condition=models.Q(("country", ""), ("country__regex", "^[A-Z]{2}$"), _connector="OR"),
                name="studio_studio_country_code",
            ),
        ),
        migrations.AddConstraint(
            model_name="studio",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("brand_colour", ""), ("brand_colour__regex", "^#[0-9a-f]{6}$"), _connector="OR"
                ),
                name="studio_studio_brand_colour_hex",
            ),
        ),
    ]
