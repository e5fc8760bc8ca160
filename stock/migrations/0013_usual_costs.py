"""Whether an item's cost is a usual one that nobody has checked."""

import pgtrigger.compiler
import pgtrigger.migrations
from django.db import migrations, models
from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("stock", "0012_props_and_foil"),
    ]

    operations = [
        pgtrigger.migrations.RemoveTrigger(
            model_name="item",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="item",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="item",
            name="delete_delete",
        ),
        migrations.AddField(
            model_name="item",
            name="cost_is_usual",
            field=models.BooleanField(
                default=False,
                editable=False,
                help_text="Its cost came from the list of usual ones, and nobody has checked it.",
            ),
        ),
        migrations.AddField(
            model_name="itemevent",
            name="cost_is_usual",
            field=models.BooleanField(
                default=False,
                editable=False,
                help_text="Its cost came from the list of usual ones, and nobody has checked it.",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="item",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_itemevent" ("added_at", "bag_price", "bag_size", "code", "colour_id", "cost_is_usual", "expected_uses", "fits_frame_id", "gtin", "id", "kind", "name", "nature", "note", "outline", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "place", "price_per_use", "reorder_at", "retired_at", "size_in", "studio_id", "turnaround_hours", "unit_cost", "weight_kg") VALUES (NEW."added_at", NEW."bag_price", NEW."bag_size", NEW."code", NEW."colour_id", NEW."cost_is_usual", NEW."expected_uses", NEW."fits_frame_id", NEW."gtin", NEW."id", NEW."kind", NEW."name", NEW."nature", NEW."note", NEW."outline", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."place", NEW."price_per_use", NEW."reorder_at", NEW."retired_at", NEW."size_in", NEW."studio_id", NEW."turnaround_hours", NEW."unit_cost", NEW."weight_kg"); RETURN NULL;',
                    hash="2e9fb37300aac18f30cf2b0fcc138a14086261dd",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_1626e",
                    table="stock_item",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="item",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "stock_itemevent" ("added_at", "bag_price", "bag_size", "code", "colour_id", "cost_is_usual", "expected_uses", "fits_frame_id", "gtin", "id", "kind", "name", "nature", "note", "outline", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "place", "price_per_use", "reorder_at", "retired_at", "size_in", "studio_id", "turnaround_hours", "unit_cost", "weight_kg") VALUES (NEW."added_at", NEW."bag_price", NEW."bag_size", NEW."code", NEW."colour_id", NEW."cost_is_usual", NEW."expected_uses", NEW."fits_frame_id", NEW."gtin", NEW."id", NEW."kind", NEW."name", NEW."nature", NEW."note", NEW."outline", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."place", NEW."price_per_use", NEW."reorder_at", NEW."retired_at", NEW."size_in", NEW."studio_id", NEW."turnaround_hours", NEW."unit_cost", NEW."weight_kg"); RETURN NULL;',
                    hash="e20b207b7eca25d156a89510695718fb16698f22",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_89d2c",
                    table="stock_item",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="item",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_itemevent" ("added_at", "bag_price", "bag_size", "code", "colour_id", "cost_is_usual", "expected_uses", "fits_frame_id", "gtin", "id", "kind", "name", "nature", "note", "outline", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "place", "price_per_use", "reorder_at", "retired_at", "size_in", "studio_id", "turnaround_hours", "unit_cost", "weight_kg") VALUES (OLD."added_at", OLD."bag_price", OLD."bag_size", OLD."code", OLD."colour_id", OLD."cost_is_usual", OLD."expected_uses", OLD."fits_frame_id", OLD."gtin", OLD."id", OLD."kind", OLD."name", OLD."nature", OLD."note", OLD."outline", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."place", OLD."price_per_use", OLD."reorder_at", OLD."retired_at", OLD."size_in", OLD."studio_id", OLD."turnaround_hours", OLD."unit_cost", OLD."weight_kg"); RETURN NULL;',
                    hash="dcbac5e3ff8dda685b26c01052e401a413a1e2b4",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_8ef82",
                    table="stock_item",
                    when="AFTER",
                ),
            ),
        ),
    ]
