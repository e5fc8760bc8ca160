"""Options within an offer, which of them were agreed to, and the PDF of what was agreed."""

from __future__ import annotations

import django.db.models.deletion
import pgtrigger.compiler
import pgtrigger.migrations
import studio.tenancy.models
from django.db import migrations, models

from studio.tenancy.operations import GuardReference

from studio.tenancy import migrating


class Migration(migrating.Migration):
    """Columns with defaults: what was offered before has no options."""

    dependencies = [
        ("quoting", "0006_invoice_row_level_security"),
        ("studio", "0002_row_level_security"),
    ]

    operations = [
        pgtrigger.migrations.RemoveTrigger(
            model_name="freeline",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="freeline",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="freeline",
            name="delete_delete",
        ),
        migrations.AddField(
            model_name="answer",
            name="chosen",
            field=models.JSONField(
                default=list, help_text="Keys of the document's options that were agreed to."
            ),
        ),
        migrations.AddField(
            model_name="freeline",
            name="choice",
            field=models.CharField(
                blank=True,
                choices=[
                    ("", "part of the offer"),
                    ("on", "an option, in at first"),
                    ("off", "an option, out at first"),
                ],
                default="",
                max_length=3,
            ),
        ),
        migrations.AddField(
            model_name="freelineevent",
            name="choice",
            field=models.CharField(
                blank=True,
                choices=[
                    ("", "part of the offer"),
                    ("on", "an option, in at first"),
                    ("off", "an option, out at first"),
                ],
                default="",
                max_length=3,
            ),
        ),
        migrations.AddField(
            model_name="offer",
            name="agreed_pdf",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="studio.storedfile",
            ),
        ),
        migrations.AddField(
            model_name="setpiece",
            name="choice",
            field=models.CharField(
                blank=True,
                choices=[
                    ("", "part of the offer"),
                    ("on", "an option, in at first"),
                    ("off", "an option, out at first"),
                ],
                default="",
                max_length=3,
            ),
        ),
        migrations.AddField(
            model_name="setpiece",
            name="florals_choice",
            field=models.CharField(
                blank=True,
                choices=[
                    ("", "part of the offer"),
                    ("on", "an option, in at first"),
                    ("off", "an option, out at first"),
                ],
                default="",
                max_length=3,
            ),
        ),
        migrations.AddField(
            model_name="setpiece",
            name="sign_choice",
            field=models.CharField(
                blank=True,
                choices=[
                    ("", "part of the offer"),
                    ("on", "an option, in at first"),
                    ("off", "an option, out at first"),
                ],
                default="",
                max_length=3,
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="freeline",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_freelineevent" ("choice", "id", "label", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "position", "quantity", "quote_id", "studio_id", "tax_id", "unit_price") VALUES (NEW."choice", NEW."id", NEW."label", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."position", NEW."quantity", NEW."quote_id", NEW."studio_id", NEW."tax_id", NEW."unit_price"); RETURN NULL;',
                    hash="ab3fa799c18b4563616fe27dc6c94e9d8f2f5e44",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_372c5",
                    table="quoting_freeline",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="freeline",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "quoting_freelineevent" ("choice", "id", "label", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "position", "quantity", "quote_id", "studio_id", "tax_id", "unit_price") VALUES (NEW."choice", NEW."id", NEW."label", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."position", NEW."quantity", NEW."quote_id", NEW."studio_id", NEW."tax_id", NEW."unit_price"); RETURN NULL;',
                    hash="7848b9ba1deadf3fd4260c6a527ee35aaff95667",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_51d6c",
                    table="quoting_freeline",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="freeline",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_freelineevent" ("choice", "id", "label", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "position", "quantity", "quote_id", "studio_id", "tax_id", "unit_price") VALUES (OLD."choice", OLD."id", OLD."label", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."position", OLD."quantity", OLD."quote_id", OLD."studio_id", OLD."tax_id", OLD."unit_price"); RETURN NULL;',
                    hash="d7021c2e835bcca3fecab465f70068f21581cf0e",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_45fb3",
                    table="quoting_freeline",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="freeline",
            constraint=models.CheckConstraint(
                condition=models.Q(models.Q(("choice__in", ["", "on", "off"]))),
                name="quoting_freeline_choice_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="setpiece",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("choice__in", ["", "on", "off"])),
                    models.Q(("florals_choice__in", ["", "on", "off"])),
                    models.Q(("sign_choice__in", ["", "on", "off"])),
                ),
                name="quoting_setpiece_choices_known",
            ),
        ),
        GuardReference("offer", "agreed_pdf"),
    ]
