"""A studio's own texts of e-mails to clients."""

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
        ("quoting", "0025_what_clients_see"),
        ("studio", "0013_country_and_colour"),
    ]

    operations = [
        migrations.CreateModel(
            name="MailText",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("offer", "Offer"),
                            ("agreed", "Agreed"),
                            ("invoice", "Invoice"),
                            ("credit", "Credit note"),
                            ("reminder", "Payment reminder"),
                            ("receipt", "Receipt"),
                            ("refund", "Refund"),
                            ("called-off", "Event called off"),
                            ("moved", "New date"),
                        ],
                        max_length=10,
                    ),
                ),
                ("language", models.CharField(choices=[("en", "English"), ("de", "Deutsch")], max_length=2)),
                ("subject", models.CharField(max_length=160)),
                ("body", models.TextField(max_length=4000)),
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
                "ordering": ["kind", "language"],
            },
        ),
        migrations.CreateModel(
            name="MailTextEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("pgh_context", pghistory.utils.JSONField(null=True)),
                ("id", models.BigIntegerField()),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("offer", "Offer"),
                            ("agreed", "Agreed"),
                            ("invoice", "Invoice"),
                            ("credit", "Credit note"),
                            ("reminder", "Payment reminder"),
                            ("receipt", "Receipt"),
                            ("refund", "Refund"),
                            ("called-off", "Event called off"),
                            ("moved", "New date"),
                        ],
                        max_length=10,
                    ),
                ),
                ("language", models.CharField(choices=[("en", "English"), ("de", "Deutsch")], max_length=2)),
                ("subject", models.CharField(max_length=160)),
                ("body", models.TextField(max_length=4000)),
                (
                    "pgh_obj",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="history",
                        to="quoting.mailtext",
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
            model_name="mailtext",
            constraint=models.UniqueConstraint(
                fields=("studio", "kind", "language"), name="quoting_mailtext_key"
            ),
        ),
        migrations.AddConstraint(
            model_name="mailtext",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "kind__in",
                        [
                            "offer",
                            "agreed",
                            "invoice",
                            "credit",
                            "reminder",
                            "receipt",
                            "refund",
                            "called-off",
                            "moved",
                        ],
                    ),
                    ("language__in", ["en", "de"]),
                    models.Q(("subject", ""), _negated=True),
                    models.Q(("body", ""), _negated=True),
                ),
                name="quoting_mailtext_says_something",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="mailtext",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_mailtextevent" ("body", "id", "kind", "language", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "studio_id", "subject") VALUES (NEW."body", NEW."id", NEW."kind", NEW."language", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."studio_id", NEW."subject"); RETURN NULL;',
                    hash="e4bba39c40cf7d27fe2fe0955aebaeeb4af887b0",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_0c741",
                    table="quoting_mailtext",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="mailtext",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "quoting_mailtextevent" ("body", "id", "kind", "language", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "studio_id", "subject") VALUES (NEW."body", NEW."id", NEW."kind", NEW."language", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."studio_id", NEW."subject"); RETURN NULL;',
                    hash="d4e7155987a37c14773ec2471ff2400b079c9851",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_043a1",
                    table="quoting_mailtext",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="mailtext",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_mailtextevent" ("body", "id", "kind", "language", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "studio_id", "subject") VALUES (OLD."body", OLD."id", OLD."kind", OLD."language", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."studio_id", OLD."subject"); RETURN NULL;',
                    hash="0e422e208ca4a3ea5c8a0f4033307226fec5bfd4",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_c5b69",
                    table="quoting_mailtext",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="mailtextevent",
            trigger=pgtrigger.compiler.Trigger(
                name="append_only",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;",
                    hash="deeeaf0c58652941568ccf6f413aa5a1eaa2b849",
                    operation="UPDATE OR DELETE",
                    pgid="pgtrigger_append_only_1ffe2",
                    table="quoting_mailtextevent",
                    when="BEFORE",
                ),
            ),
        ),
        GuardTenantTable("mailtext"),
        GuardTenantTable("mailtextevent", references=False),
    ]
