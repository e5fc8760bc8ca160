"""Pieces that go straight from one hold to another, and lines that meet at that moment."""

from __future__ import annotations

import django.db.models.deletion
import pghistory.utils
import pgtrigger.compiler
import pgtrigger.migrations
import studio.tenancy.models
from django.db import migrations, models

from studio.tenancy import migrating
from studio.tenancy.operations import GuardReference, GuardTenantTable

# Looked at when the transaction ends, since both lines and what links them are written one after the other.
LINES_MEET_SQL = """
CREATE FUNCTION stock_lines_meet(link bigint) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
    IF EXISTS (
        SELECT 1 FROM stock_handedon h WHERE h.id = link AND NOT (
            EXISTS (
                SELECT 1 FROM stock_holdline l WHERE l.handed_on_id = h.id AND l.hold_id = h.giver_id
                AND l.item_id = h.item_id AND l.quantity = h.quantity AND l.busy_until = h.at
            ) AND EXISTS (
                SELECT 1 FROM stock_holdline l WHERE l.handed_on_id = h.id AND l.hold_id = h.taker_id
                AND l.item_id = h.item_id AND l.quantity = h.quantity AND l.busy_from = h.at
            )
        )
    ) THEN
        RAISE EXCEPTION 'pieces that are handed on must leave the one hold when they come to the other'
            USING ERRCODE = 'integrity_constraint_violation';
    END IF;
END $$;
CREATE FUNCTION stock_line_meets() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF TG_OP <> 'DELETE' THEN PERFORM stock_lines_meet(NEW.handed_on_id); END IF;
    IF TG_OP <> 'INSERT' THEN PERFORM stock_lines_meet(OLD.handed_on_id); END IF;
    RETURN NULL;
END $$;
CREATE FUNCTION stock_link_meets() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM stock_lines_meet(NEW.id);
    RETURN NULL;
END $$;
CREATE CONSTRAINT TRIGGER line_meets AFTER INSERT ON stock_holdline DEFERRABLE INITIALLY DEFERRED
    FOR EACH ROW WHEN (NEW.handed_on_id IS NOT NULL) EXECUTE FUNCTION stock_line_meets();
CREATE CONSTRAINT TRIGGER line_meets_still AFTER UPDATE ON stock_holdline DEFERRABLE INITIALLY DEFERRED
    FOR EACH ROW WHEN (NEW.handed_on_id IS NOT NULL OR OLD.handed_on_id IS NOT NULL)
    EXECUTE FUNCTION stock_line_meets();
CREATE CONSTRAINT TRIGGER line_leaves AFTER DELETE ON stock_holdline DEFERRABLE INITIALLY DEFERRED
    FOR EACH ROW WHEN (OLD.handed_on_id IS NOT NULL) EXECUTE FUNCTION stock_line_meets();
CREATE CONSTRAINT TRIGGER link_meets AFTER INSERT OR UPDATE ON stock_handedon DEFERRABLE INITIALLY DEFERRED
    FOR EACH ROW EXECUTE FUNCTION stock_link_meets();
"""
FORGET_SQL = """
DROP TRIGGER link_meets ON stock_handedon;
DROP TRIGGER line_leaves ON stock_holdline;
DROP TRIGGER line_meets_still ON stock_holdline;
DROP TRIGGER line_meets ON stock_holdline;
DROP FUNCTION stock_link_meets();
DROP FUNCTION stock_line_meets();
DROP FUNCTION stock_lines_meet(bigint);
"""


class Migration(migrating.Migration):
    """What goes straight on, guarded."""

    dependencies = [
        ("stock", "0006_tagged_pieces"),
        ("studio", "0006_crew_phones"),
    ]

    operations = [
        migrations.CreateModel(
            name="HandedOn",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("quantity", models.PositiveIntegerField()),
                ("at", models.DateTimeField()),
                ("made_at", models.DateTimeField(auto_now_add=True)),
            ],
            options={
                "ordering": ["at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="HandedOnEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("pgh_context", pghistory.utils.JSONField(null=True)),
                ("id", models.BigIntegerField()),
                ("quantity", models.PositiveIntegerField()),
                ("at", models.DateTimeField()),
                ("made_at", models.DateTimeField(auto_now_add=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.RemoveConstraint(
            model_name="holdline",
            name="stock_holdline_item_key",
        ),
        migrations.AddField(
            model_name="handedon",
            name="giver",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="handed_on",
                to="stock.hold",
            ),
        ),
        migrations.AddField(
            model_name="handedon",
            name="item",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="stock.item",
            ),
        ),
        migrations.AddField(
            model_name="handedon",
            name="studio",
            field=studio.tenancy.models.StudioKey(
                editable=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="studio.studio",
            ),
        ),
        migrations.AddField(
            model_name="handedon",
            name="taker",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="handed_in",
                to="stock.hold",
            ),
        ),
        migrations.AddField(
            model_name="holdline",
            name="handed_on",
            field=studio.tenancy.models.TenantForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="lines",
                to="stock.handedon",
            ),
        ),
        migrations.AddConstraint(
            model_name="holdline",
            constraint=models.UniqueConstraint(
                fields=("studio", "hold", "item", "handed_on"),
                name="stock_holdline_item_key",
                nulls_distinct=False,
            ),
        ),
        migrations.AddField(
            model_name="handedonevent",
            name="giver",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="stock.hold",
            ),
        ),
        migrations.AddField(
            model_name="handedonevent",
            name="item",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="stock.item",
            ),
        ),
        migrations.AddField(
            model_name="handedonevent",
            name="pgh_obj",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="history",
                to="stock.handedon",
            ),
        ),
        migrations.AddField(
            model_name="handedonevent",
            name="studio",
            field=studio.tenancy.models.StudioKey(
                db_constraint=False,
                editable=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="studio.studio",
            ),
        ),
        migrations.AddField(
            model_name="handedonevent",
            name="taker",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="stock.hold",
            ),
        ),
        migrations.AddIndex(
            model_name="handedon",
            index=models.Index(fields=["studio", "taker"], name="stock_handedon_by_taker"),
        ),
        migrations.AddConstraint(
            model_name="handedon",
            constraint=models.UniqueConstraint(
                fields=("studio", "giver", "taker", "item"), name="stock_handedon_key"
            ),
        ),
        migrations.AddConstraint(
            model_name="handedon",
            constraint=models.CheckConstraint(
                condition=models.Q(("quantity__gt", 0)), name="stock_handedon_some"
            ),
        ),
        migrations.AddConstraint(
            model_name="handedon",
            constraint=models.CheckConstraint(
                condition=models.Q(("giver", models.F("taker")), _negated=True),
                name="stock_handedon_to_another",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="handedon",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_handedonevent" ("at", "giver_id", "id", "item_id", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id", "taker_id") VALUES (NEW."at", NEW."giver_id", NEW."id", NEW."item_id", NEW."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."quantity", NEW."studio_id", NEW."taker_id"); RETURN NULL;',
                    hash="534c7a3597dbb11d25b1e230bfb322680276c91d",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_d1a81",
                    table="stock_handedon",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="handedon",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "stock_handedonevent" ("at", "giver_id", "id", "item_id", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id", "taker_id") VALUES (NEW."at", NEW."giver_id", NEW."id", NEW."item_id", NEW."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."quantity", NEW."studio_id", NEW."taker_id"); RETURN NULL;',
                    hash="0ae08f176aa6770ab3b5e79f96fc62530239c6ac",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_e5853",
                    table="stock_handedon",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="handedon",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_handedonevent" ("at", "giver_id", "id", "item_id", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quantity", "studio_id", "taker_id") VALUES (OLD."at", OLD."giver_id", OLD."id", OLD."item_id", OLD."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."quantity", OLD."studio_id", OLD."taker_id"); RETURN NULL;',
                    hash="0950309d63a4c873fea04a110ceb01ddd3aa1f0a",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_52fe2",
                    table="stock_handedon",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="handedonevent",
            trigger=pgtrigger.compiler.Trigger(
                name="append_only",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;",
                    hash="1758d280d4d4fd3c6884c4134a63f07f743c20aa",
                    operation="UPDATE OR DELETE",
                    pgid="pgtrigger_append_only_61913",
                    table="stock_handedonevent",
                    when="BEFORE",
                ),
            ),
        ),
        GuardTenantTable("handedon"),
        GuardTenantTable("handedonevent", references=False),
        GuardReference("holdline", "handed_on"),
        migrations.RunSQL(LINES_MEET_SQL, FORGET_SQL),
    ]
