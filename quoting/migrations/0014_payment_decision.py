import django.db.models.deletion
import pghistory.utils
import pgtrigger.compiler
import pgtrigger.migrations
import studio.tenancy.models
from django.conf import settings
from django.db import migrations, models

from studio.tenancy import migrating
from studio.tenancy.operations import GuardTenantTable


class Migration(migrating.Migration):
    dependencies = [
        ("events", "0021_transfer_request"),
        ("quoting", "0013_offer_not_sent"),
        ("studio", "0008_elevation"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="PaymentDecision",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "choice",
                    models.CharField(
                        choices=[
                            ("keep", "Keep it, by the terms"),
                            ("refund", "Refund all or part of it"),
                            ("move", "Keep it for a new date"),
                        ],
                        max_length=6,
                    ),
                ),
                ("refund", models.DecimalField(decimal_places=4, default=0, max_digits=14)),
                ("words", models.CharField(blank=True, max_length=400, verbose_name="reason")),
                ("decided_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(null=True)),
                (
                    "decided_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "event",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="payment_decisions",
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
                "ordering": ["-decided_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="PaymentDecisionEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("pgh_context", pghistory.utils.JSONField(null=True)),
                ("id", models.BigIntegerField()),
                (
                    "choice",
                    models.CharField(
                        choices=[
                            ("keep", "Keep it, by the terms"),
                            ("refund", "Refund all or part of it"),
                            ("move", "Keep it for a new date"),
                        ],
                        max_length=6,
                    ),
                ),
                ("refund", models.DecimalField(decimal_places=4, default=0, max_digits=14)),
                ("words", models.CharField(blank=True, max_length=400, verbose_name="reason")),
                ("decided_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(null=True)),
                (
                    "decided_by",
                    models.ForeignKey(
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
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
                    "pgh_obj",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="history",
                        to="quoting.paymentdecision",
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
            model_name="paymentdecision",
            constraint=models.UniqueConstraint(
                condition=models.Q(("ended_at", None)),
                fields=("studio", "event"),
                name="quoting_paymentdecision_one_standing",
            ),
        ),
        migrations.AddConstraint(
            model_name="paymentdecision",
            constraint=models.CheckConstraint(
                condition=models.Q(("choice__in", ["keep", "refund", "move"])),
                name="quoting_paymentdecision_choice_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="paymentdecision",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("choice", "refund"), ("refund__gt", 0)),
                    models.Q(models.Q(("choice", "refund"), _negated=True), ("refund", 0)),
                    _connector="OR",
                ),
                name="quoting_paymentdecision_refund_fits",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="paymentdecision",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_paymentdecisionevent" ("choice", "decided_at", "decided_by_id", "ended_at", "event_id", "id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "refund", "studio_id", "words") VALUES (NEW."choice", NEW."decided_at", NEW."decided_by_id", NEW."ended_at", NEW."event_id", NEW."id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."refund", NEW."studio_id", NEW."words"); RETURN NULL;',
                    hash="3716978b2e686a8019a4d496051caca22206f425",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_dcb2d",
                    table="quoting_paymentdecision",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="paymentdecision",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "quoting_paymentdecisionevent" ("choice", "decided_at", "decided_by_id", "ended_at", "event_id", "id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "refund", "studio_id", "words") VALUES (NEW."choice", NEW."decided_at", NEW."decided_by_id", NEW."ended_at", NEW."event_id", NEW."id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."refund", NEW."studio_id", NEW."words"); RETURN NULL;',
                    hash="bf2f4ae0e6c92d360fabe7f5ffd594c89a598f66",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_9feef",
                    table="quoting_paymentdecision",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="paymentdecision",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_paymentdecisionevent" ("choice", "decided_at", "decided_by_id", "ended_at", "event_id", "id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "refund", "studio_id", "words") VALUES (OLD."choice", OLD."decided_at", OLD."decided_by_id", OLD."ended_at", OLD."event_id", OLD."id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."refund", OLD."studio_id", OLD."words"); RETURN NULL;',
                    hash="c12e9e88012de8892d53e73fbb4bc89ce10bec57",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_0524d",
                    table="quoting_paymentdecision",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="paymentdecisionevent",
            trigger=pgtrigger.compiler.Trigger(
                name="append_only",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;",
                    hash="a46fa51f8241aafe64a31be489d580d518be45f7",
                    operation="UPDATE OR DELETE",
                    pgid="pgtrigger_append_only_f5307",
                    table="quoting_paymentdecisionevent",
                    when="BEFORE",
                ),
            ),
        ),
        GuardTenantTable("paymentdecision"),
        GuardTenantTable("paymentdecisionevent", references=False),
    ]
