"""The model of a transfer gets its plain name. Its tables keep theirs, so PostgreSQL has nothing to rename."""

import django.db.models.deletion
import pgtrigger.compiler
import pgtrigger.migrations
import studio.tenancy.models
from django.db import migrations

from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("stock", "0009_receipt_corrections"),
    ]

    operations = [
        migrations.AlterModelTable(name="handedon", table="stock_handedon"),
        migrations.AlterModelTable(name="handedonevent", table="stock_handedonevent"),
        migrations.RenameModel(old_name="HandedOn", new_name="AgreedTransfer"),
        migrations.RenameModel(old_name="HandedOnEvent", new_name="AgreedTransferEvent"),
        pgtrigger.migrations.RemoveTrigger(
            model_name="agreedtransfer",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="agreedtransfer",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="agreedtransfer",
            name="delete_delete",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="agreedtransferevent",
            name="append_only",
        ),
        migrations.AlterField(
            model_name="agreedtransfer",
            name="giver",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="transfers_out",
                to="stock.hold",
            ),
        ),
        migrations.AlterField(
            model_name="agreedtransfer",
            name="taker",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="transfers_in",
                to="stock.hold",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="agreedtransfer",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_handedonevent" ("at", "giver_id", "id", "item_id", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id", "taker_id") VALUES (NEW."at", NEW."giver_id", NEW."id", NEW."item_id", NEW."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."quantity", NEW."studio_id", NEW."taker_id"); RETURN NULL;',
                    hash="54680bc4545f523e0ebd3412054d0c8665028282",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_af904",
                    table="stock_handedon",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="agreedtransfer",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "stock_handedonevent" ("at", "giver_id", "id", "item_id", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id", "taker_id") VALUES (NEW."at", NEW."giver_id", NEW."id", NEW."item_id", NEW."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."quantity", NEW."studio_id", NEW."taker_id"); RETURN NULL;',
                    hash="ea7200325eddbbfd660c14f29c965244d164f067",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_0144c",
                    table="stock_handedon",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="agreedtransfer",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_handedonevent" ("at", "giver_id", "id", "item_id", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id", "taker_id") VALUES (OLD."at", OLD."giver_id", OLD."id", OLD."item_id", OLD."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."quantity", OLD."studio_id", OLD."taker_id"); RETURN NULL;',
                    hash="f2383326240d2e7beb89ba38cd099dac5f3b40f9",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_4c144",
                    table="stock_handedon",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="agreedtransferevent",
            trigger=pgtrigger.compiler.Trigger(
                name="append_only",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;",
                    hash="33d94a14b0c962b9b50e6054b3f3d55ae81fd0ca",
                    operation="UPDATE OR DELETE",
                    pgid="pgtrigger_append_only_0af64",
                    table="stock_handedonevent",
                    when="BEFORE",
                ),
            ),
        ),
    ]
