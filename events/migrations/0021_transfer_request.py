"""The model of a transfer gets its plain name. Its tables keep theirs, so PostgreSQL has nothing to rename."""

import django.db.models.deletion
import pgtrigger.compiler
import pgtrigger.migrations
import studio.tenancy.models
from django.db import migrations

from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("events", "0020_swapped_bill_rows"),
    ]

    operations = [
        migrations.AlterModelTable(name="comesstraight", table="events_comesstraight"),
        migrations.AlterModelTable(name="comesstraightevent", table="events_comesstraightevent"),
        migrations.RenameModel(old_name="ComesStraight", new_name="TransferRequest"),
        migrations.RenameModel(old_name="ComesStraightEvent", new_name="TransferRequestEvent"),
        pgtrigger.migrations.RemoveTrigger(
            model_name="transferrequest",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="transferrequest",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="transferrequest",
            name="delete_delete",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="transferrequestevent",
            name="append_only",
        ),
        migrations.AlterField(
            model_name="transferrequest",
            name="event",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="transfer_requests",
                to="events.event",
            ),
        ),
        migrations.AlterField(
            model_name="transferrequest",
            name="giver",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="transfer_requests_out",
                to="events.event",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="transferrequest",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "events_comesstraightevent" ("code", "event_id", "giver_id", "id", "label", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id", "unwashed") VALUES (NEW."code", NEW."event_id", NEW."giver_id", NEW."id", NEW."label", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."quantity", NEW."studio_id", NEW."unwashed"); RETURN NULL;',
                    hash="2754c0f15e56ee41a73d90b356f981c05feef420",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_25b02",
                    table="events_comesstraight",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="transferrequest",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "events_comesstraightevent" ("code", "event_id", "giver_id", "id", "label", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id", "unwashed") VALUES (NEW."code", NEW."event_id", NEW."giver_id", NEW."id", NEW."label", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."quantity", NEW."studio_id", NEW."unwashed"); RETURN NULL;',
                    hash="c116d9edd75593d7d2976bc106ad3c6e80054c4d",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_5924a",
                    table="events_comesstraight",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="transferrequest",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "events_comesstraightevent" ("code", "event_id", "giver_id", "id", "label", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id", "unwashed") VALUES (OLD."code", OLD."event_id", OLD."giver_id", OLD."id", OLD."label", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."quantity", OLD."studio_id", OLD."unwashed"); RETURN NULL;',
                    hash="6dfed51c7dc5dd9886859327d6ca1742e57d40b9",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_4d6da",
                    table="events_comesstraight",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="transferrequestevent",
            trigger=pgtrigger.compiler.Trigger(
                name="append_only",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;",
                    hash="736129e3fd12a74a42fc8c8f5c673079f229ed33",
                    operation="UPDATE OR DELETE",
                    pgid="pgtrigger_append_only_1db9c",
                    table="events_comesstraightevent",
                    when="BEFORE",
                ),
            ),
        ),
    ]
