"""What an item is hired out for: an event, or each day of use."""

import pgtrigger.compiler
import pgtrigger.migrations
from django.db import migrations, models
from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("stock", "0013_usual_costs"),
        ("studio", "0012_first_steps"),
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
            name="hire_per",
            field=models.CharField(
                choices=[("event", "an event"), ("day", "a day of use")],
                default="event",
                max_length=5,
                verbose_name="hire price for",
            ),
        ),
        migrations.AddField(
            model_name="itemevent",
            name="hire_per",
            field=models.CharField(
                choices=[("event", "an event"), ("day", "a day of use")],
                default="event",
                max_length=5,
                verbose_name="hire price for",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="item",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "stock_itemevent" ("added_at", "bag_price", "bag_size", "code", "colour_id", "cost_is_usual", "expected_uses", "fits_frame_id", "gtin", "hire_per", "id", "kind", "name", "nature", "note", "outline", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "place", "price_per_use", "reorder_at", "retired_at", "size_in", "studio_id", "turnaround_hours", "unit_cost", "weight_kg") VALUES (NEW."added_at", NEW."bag_price", NEW."bag_size", NEW."code", NEW."colour_id", NEW."cost_is_usual", NEW."expected_uses", NEW."fits_frame_id", NEW."gtin", NEW."hire_per", NEW."id", NEW."kind", NEW."name", NEW."nature", NEW."note", NEW."outline", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."place", NEW."price_per_use", NEW."reorder_at", NEW."retired_at", NEW."size_in", NEW."studio_id", NEW."turnaround_hours", NEW."unit_cost", NEW."weight_kg"); RETURN NULL;',
                    hash="843c3ea0a12045ebcc11fce3bb79df7219a6111c",
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
                    func='INSERT INTO "stock_itemevent" ("added_at", "bag_price", "bag_size", "code", "colour_id", "cost_is_usual", "expected_uses", "fits_frame_id", "gtin", "hire_per", "id", "kind", "name", "nature", "note", "outline", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "place", "price_per_use", "reorder_at", "retired_at", "size_in", "studio_id", "turnaround_hours", "unit_cost", "weight_kg") VALUES (NEW."added_at", NEW."bag_price", NEW."bag_size", NEW."code", NEW."colour_id", NEW."cost_is_usual", NEW."expected_uses", NEW."fits_frame_id", NEW."gtin", NEW."hire_per", NEW."id", NEW."kind", NEW."name", NEW."nature", NEW."note", NEW."outline", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."place", NEW."price_per_use", NEW."reorder_at", NEW."retired_at", NEW."size_in", NEW."studio_id", NEW."turnaround_hours", NEW."unit_cost", NEW."weight_kg"); RETURN NULL;',
                    hash="4ae4f8fabaa101706122675e9b1b6770a020c3ae",
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
                    func='INSERT INTO "stock_itemevent" ("added_at", "bag_price", "bag_size", "code", "colour_id", "cost_is_usual", "expected_uses", "fits_frame_id", "gtin", "hire_per", "id", "kind", "name", "nature", "note", "outline", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "place", "price_per_use", "reorder_at", "retired_at", "size_in", "studio_id", "turnaround_hours", "unit_cost", "weight_kg") VALUES (OLD."added_at", OLD."bag_price", OLD."bag_size", OLD."code", OLD."colour_id", OLD."cost_is_usual", OLD."expected_uses", OLD."fits_frame_id", OLD."gtin", OLD."hire_per", OLD."id", OLD."kind", OLD."name", OLD."nature", OLD."note", OLD."outline", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."place", OLD."price_per_use", OLD."reorder_at", OLD."retired_at", OLD."size_in", OLD."studio_id", OLD."turnaround_hours", OLD."unit_cost", OLD."weight_kg"); RETURN NULL;',
                    hash="fe617a9e9f992ed16478957e9b020acffff7f76c",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_8ef82",
                    table="stock_item",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="item",
            constraint=models.CheckConstraint(
                condition=models.Q(("hire_per__in", ["event", "day"])), name="stock_item_hire_per_known"
            ),
        ),
    ]
