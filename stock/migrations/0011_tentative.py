"""Holds that wait for a client are called tentative, as on every page: the column, its values and their alerts."""

import pgtrigger.compiler
import pgtrigger.migrations
from django.conf import settings
from django.db import migrations, models

from studio.tenancy import migrating

TABLES = ("stock_hold", "stock_holdevent", "stock_alert", "stock_alertchoice")

# Rows are hidden from whoever entered no studio, their owner too, and the trail refuses changes: both rest for this one
# change of names.
REST = (
    "".join(f"ALTER TABLE {table} NO FORCE ROW LEVEL SECURITY; " for table in TABLES)
    + "ALTER TABLE stock_holdevent DISABLE TRIGGER USER;"
)
RESUME = "SET CONSTRAINTS ALL IMMEDIATE; ALTER TABLE stock_holdevent ENABLE TRIGGER USER; " + "".join(
    f"ALTER TABLE {table} FORCE ROW LEVEL SECURITY; " for table in TABLES
)


NEW_NAMES = """
UPDATE stock_hold SET state = 'tentative' WHERE state = 'pencilled';
UPDATE stock_holdevent SET state = 'tentative' WHERE state = 'pencilled';
UPDATE stock_alert SET kind = 'lapsing' WHERE kind = 'pencil';
UPDATE stock_alertchoice SET kind = 'lapsing' WHERE kind = 'pencil';
"""
OLD_NAMES = """
UPDATE stock_hold SET state = 'pencilled' WHERE state = 'tentative';
UPDATE stock_holdevent SET state = 'pencilled' WHERE state = 'tentative';
UPDATE stock_alert SET kind = 'pencil' WHERE kind = 'lapsing';
UPDATE stock_alertchoice SET kind = 'pencil' WHERE kind = 'lapsing';
"""


class Migration(migrating.Migration):
    dependencies = [
        ("stock", "0010_agreed_transfer"),
        ("studio", "0009_promised_by_words"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        pgtrigger.migrations.RemoveTrigger(
            model_name="hold",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="hold",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="hold",
            name="delete_delete",
        ),
        migrations.RemoveConstraint(
            model_name="alert",
            name="stock_alert_kind",
        ),
        migrations.RemoveConstraint(
            model_name="alertchoice",
            name="stock_alertchoice_kind",
        ),
        migrations.RemoveConstraint(
            model_name="hold",
            name="stock_hold_state",
        ),
        migrations.RemoveConstraint(
            model_name="hold",
            name="stock_hold_pencilled_has_a_date",
        ),
        migrations.RemoveIndex(
            model_name="hold",
            name="stock_hold_standing",
        ),
        migrations.RenameField(
            model_name="hold",
            old_name="pencilled_until",
            new_name="tentative_until",
        ),
        migrations.RenameField(
            model_name="holdevent",
            old_name="pencilled_until",
            new_name="tentative_until",
        ),
        migrations.AlterField(
            model_name="alert",
            name="kind",
            field=models.CharField(
                choices=[
                    ("short", "shortages"),
                    ("reorder", "time to reorder"),
                    ("lapsing", "tentative holds about to expire"),
                    ("overdue", "returns not counted yet"),
                    ("old", "latex past its best"),
                    ("step", "ledger and stock don’t match"),
                ],
                max_length=7,
            ),
        ),
        migrations.AlterField(
            model_name="alertchoice",
            name="kind",
            field=models.CharField(
                choices=[
                    ("short", "shortages"),
                    ("reorder", "time to reorder"),
                    ("lapsing", "tentative holds about to expire"),
                    ("overdue", "returns not counted yet"),
                    ("old", "latex past its best"),
                    ("step", "ledger and stock don’t match"),
                ],
                max_length=7,
            ),
        ),
        migrations.AlterField(
            model_name="hold",
            name="state",
            field=models.CharField(
                choices=[
                    ("tentative", "tentative"),
                    ("held", "confirmed"),
                    ("released", "released"),
                    ("counted", "returned and counted"),
                ],
                max_length=9,
            ),
        ),
        migrations.AlterField(
            model_name="holdevent",
            name="state",
            field=models.CharField(
                choices=[
                    ("tentative", "tentative"),
                    ("held", "confirmed"),
                    ("released", "released"),
                    ("counted", "returned and counted"),
                ],
                max_length=9,
            ),
        ),
        migrations.RunSQL(
            REST + NEW_NAMES + RESUME,
            REST + OLD_NAMES + RESUME,
        ),
        migrations.AddIndex(
            model_name="hold",
            index=models.Index(
                condition=models.Q(("state__in", ["tentative", "held"])),
                fields=["studio", "ends_at"],
                name="stock_hold_standing",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="hold",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_holdevent" ("ends_at", "id", "label", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "purpose", "starts_at", "state", "studio_id", "tentative_until") VALUES (NEW."ends_at", NEW."id", NEW."label", NEW."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."purpose", NEW."starts_at", NEW."state", NEW."studio_id", NEW."tentative_until"); RETURN NULL;',
                    hash="b88d35153db5ccd4ecf16d62619efc818c5f2998",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_b6ee9",
                    table="stock_hold",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="hold",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "stock_holdevent" ("ends_at", "id", "label", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "purpose", "starts_at", "state", "studio_id", "tentative_until") VALUES (NEW."ends_at", NEW."id", NEW."label", NEW."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."purpose", NEW."starts_at", NEW."state", NEW."studio_id", NEW."tentative_until"); RETURN NULL;',
                    hash="1c7bbf9b883e20c20b23d1c94b74898f671f9cc2",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_52ba1",
                    table="stock_hold",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="hold",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_holdevent" ("ends_at", "id", "label", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "purpose", "starts_at", "state", "studio_id", "tentative_until") VALUES (OLD."ends_at", OLD."id", OLD."label", OLD."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."purpose", OLD."starts_at", OLD."state", OLD."studio_id", OLD."tentative_until"); RETURN NULL;',
                    hash="d3aa014534c049089d7d2fa06d7d72b09e050796",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_262c7",
                    table="stock_hold",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="alert",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["short", "reorder", "lapsing", "overdue", "old", "step"])),
                name="stock_alert_kind",
            ),
        ),
        migrations.AddConstraint(
            model_name="alertchoice",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["short", "reorder", "lapsing", "overdue", "old", "step"])),
                name="stock_alertchoice_kind",
            ),
        ),
        migrations.AddConstraint(
            model_name="hold",
            constraint=models.CheckConstraint(
                condition=models.Q(("state__in", ["tentative", "held", "released", "counted"])),
                name="stock_hold_state",
            ),
        ),
        migrations.AddConstraint(
            model_name="hold",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "tentative"), _negated=True),
                    ("tentative_until__isnull", False),
                    _connector="OR",
                ),
                name="stock_hold_tentative_has_a_date",
            ),
        ),
    ]
