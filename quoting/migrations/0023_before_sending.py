"""A smallest margin, what supplies cost, and the owner's word that an offer keeps."""

import django.core.validators
import pgtrigger.compiler
import pgtrigger.migrations
from decimal import Decimal
from django.db import migrations, models
from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("quoting", "0022_printed_covers"),
        ("studio", "0011_usual_uses"),
    ]

    operations = [
        pgtrigger.migrations.RemoveTrigger(
            model_name="offer",
            name="frozen",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="offer",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="offer",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="offer",
            name="delete_delete",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="rates",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="rates",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="rates",
            name="delete_delete",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="supply",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="supply",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="supply",
            name="delete_delete",
        ),
        migrations.RemoveConstraint(
            model_name="rates",
            name="quoting_rates_price_ranges",
        ),
        migrations.AddField(
            model_name="offer",
            name="vouched",
            field=models.TextField(
                blank=True,
                help_text="What was still open when it was sent, as the owner read it, and the owner's reason; a line each.",
            ),
        ),
        migrations.AddField(
            model_name="offerevent",
            name="vouched",
            field=models.TextField(
                blank=True,
                help_text="What was still open when it was sent, as the owner read it, and the owner's reason; a line each.",
            ),
        ),
        migrations.AddField(
            model_name="rates",
            name="margin_floor_percent",
            field=models.DecimalField(
                decimal_places=2,
                default=Decimal("20"),
                help_text="An offer with less margin is only sent on the owner's word. 0: any margin that isn't a loss.",
                max_digits=4,
                validators=[
                    django.core.validators.MinValueValidator(Decimal("0")),
                    django.core.validators.MaxValueValidator(Decimal("95")),
                ],
                verbose_name="smallest margin",
            ),
        ),
        migrations.AddField(
            model_name="ratesevent",
            name="margin_floor_percent",
            field=models.DecimalField(
                decimal_places=2,
                default=Decimal("20"),
                help_text="An offer with less margin is only sent on the owner's word. 0: any margin that isn't a loss.",
                max_digits=4,
                validators=[
                    django.core.validators.MinValueValidator(Decimal("0")),
                    django.core.validators.MaxValueValidator(Decimal("95")),
                ],
                verbose_name="smallest margin",
            ),
        ),
        migrations.AddField(
            model_name="supply",
            name="cost",
            field=models.DecimalField(
                blank=True,
                decimal_places=4,
                help_text="In the studio's currency; none: not known yet.",
                max_digits=12,
                null=True,
                validators=[django.core.validators.MinValueValidator(Decimal("0"))],
                verbose_name="cost of one",
            ),
        ),
        migrations.AddField(
            model_name="supplyevent",
            name="cost",
            field=models.DecimalField(
                blank=True,
                decimal_places=4,
                help_text="In the studio's currency; none: not known yet.",
                max_digits=12,
                null=True,
                validators=[django.core.validators.MinValueValidator(Decimal("0"))],
                verbose_name="cost of one",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="offer",
            trigger=pgtrigger.compiler.Trigger(
                name="frozen",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition='WHEN (OLD."studio_id" IS DISTINCT FROM (NEW."studio_id") OR OLD."quote_id" IS DISTINCT FROM (NEW."quote_id") OR OLD."number" IS DISTINCT FROM (NEW."number") OR OLD."version" IS DISTINCT FROM (NEW."version") OR OLD."frozen" IS DISTINCT FROM (NEW."frozen") OR OLD."digest" IS DISTINCT FROM (NEW."digest") OR OLD."content_digest" IS DISTINCT FROM (NEW."content_digest") OR OLD."total" IS DISTINCT FROM (NEW."total") OR OLD."deposit" IS DISTINCT FROM (NEW."deposit") OR OLD."currency" IS DISTINCT FROM (NEW."currency") OR OLD."client_name" IS DISTINCT FROM (NEW."client_name") OR OLD."client_email" IS DISTINCT FROM (NEW."client_email") OR OLD."offered_at" IS DISTINCT FROM (NEW."offered_at") OR OLD."offered_by_id" IS DISTINCT FROM (NEW."offered_by_id") OR OLD."expires_at" IS DISTINCT FROM (NEW."expires_at") OR OLD."vouched" IS DISTINCT FROM (NEW."vouched"))',
                    func="RAISE EXCEPTION 'pgtrigger: Cannot update rows from % table', TG_TABLE_NAME;",
                    hash="6e4b3f89ad70e98329ef82bf7662a0026558db45",
                    operation="UPDATE",
                    pgid="pgtrigger_frozen_0342b",
                    table="quoting_offer",
                    when="BEFORE",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="offer",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_offerevent" ("client_email", "client_name", "closed_at", "currency", "deposit", "expires_at", "id", "number", "offered_at", "offered_by_id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quote_id", "state", "studio_id", "tentative_hold_id", "total", "version", "vouched") VALUES (NEW."client_email", NEW."client_name", NEW."closed_at", NEW."currency", NEW."deposit", NEW."expires_at", NEW."id", NEW."number", NEW."offered_at", NEW."offered_by_id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."quote_id", NEW."state", NEW."studio_id", NEW."tentative_hold_id", NEW."total", NEW."version", NEW."vouched"); RETURN NULL;',
                    hash="fb7f97f57fb821fc65e9638fd34a6b25211ce232",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_164b2",
                    table="quoting_offer",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="offer",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition='WHEN (OLD."client_email" IS DISTINCT FROM (NEW."client_email") OR OLD."client_name" IS DISTINCT FROM (NEW."client_name") OR OLD."closed_at" IS DISTINCT FROM (NEW."closed_at") OR OLD."currency" IS DISTINCT FROM (NEW."currency") OR OLD."deposit" IS DISTINCT FROM (NEW."deposit") OR OLD."expires_at" IS DISTINCT FROM (NEW."expires_at") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."number" IS DISTINCT FROM (NEW."number") OR OLD."offered_at" IS DISTINCT FROM (NEW."offered_at") OR OLD."offered_by_id" IS DISTINCT FROM (NEW."offered_by_id") OR OLD."quote_id" IS DISTINCT FROM (NEW."quote_id") OR OLD."state" IS DISTINCT FROM (NEW."state") OR OLD."studio_id" IS DISTINCT FROM (NEW."studio_id") OR OLD."tentative_hold_id" IS DISTINCT FROM (NEW."tentative_hold_id") OR OLD."total" IS DISTINCT FROM (NEW."total") OR OLD."version" IS DISTINCT FROM (NEW."version") OR OLD."vouched" IS DISTINCT FROM (NEW."vouched"))',
                    func='INSERT INTO "quoting_offerevent" ("client_email", "client_name", "closed_at", "currency", "deposit", "expires_at", "id", "number", "offered_at", "offered_by_id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quote_id", "state", "studio_id", "tentative_hold_id", "total", "version", "vouched") VALUES (NEW."client_email", NEW."client_name", NEW."closed_at", NEW."currency", NEW."deposit", NEW."expires_at", NEW."id", NEW."number", NEW."offered_at", NEW."offered_by_id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."quote_id", NEW."state", NEW."studio_id", NEW."tentative_hold_id", NEW."total", NEW."version", NEW."vouched"); RETURN NULL;',
                    hash="7e10cdd91c5d6a7274aec852c4ed6ff290dafd7a",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_273f9",
                    table="quoting_offer",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="offer",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_offerevent" ("client_email", "client_name", "closed_at", "currency", "deposit", "expires_at", "id", "number", "offered_at", "offered_by_id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quote_id", "state", "studio_id", "tentative_hold_id", "total", "version", "vouched") VALUES (OLD."client_email", OLD."client_name", OLD."closed_at", OLD."currency", OLD."deposit", OLD."expires_at", OLD."id", OLD."number", OLD."offered_at", OLD."offered_by_id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."quote_id", OLD."state", OLD."studio_id", OLD."tentative_hold_id", OLD."total", OLD."version", OLD."vouched"); RETURN NULL;',
                    hash="8ac904daaecc23889f0b53bd844d1da460372c9f",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_8692b",
                    table="quoting_offer",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="rates",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_ratesevent" ("cover_care", "distance_unit", "drive_hour", "frame_care", "id", "install_hour", "latex_by", "loss_percent", "margin_floor_percent", "margin_percent", "markup_percent", "minimum_call_hours", "minimum_order", "overhead_percent", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_hour", "price_by", "print_m2", "rounding_step", "rush_percent", "service_percent", "strike_hour", "studio_id", "van_distance", "van_hour") VALUES (NEW."cover_care", NEW."distance_unit", NEW."drive_hour", NEW."frame_care", NEW."id", NEW."install_hour", NEW."latex_by", NEW."loss_percent", NEW."margin_floor_percent", NEW."margin_percent", NEW."markup_percent", NEW."minimum_call_hours", NEW."minimum_order", NEW."overhead_percent", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."prep_hour", NEW."price_by", NEW."print_m2", NEW."rounding_step", NEW."rush_percent", NEW."service_percent", NEW."strike_hour", NEW."studio_id", NEW."van_distance", NEW."van_hour"); RETURN NULL;',
                    hash="cf297f666778c9f4ff815b74f0b5dcc326513f15",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_d3dea",
                    table="quoting_rates",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="rates",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "quoting_ratesevent" ("cover_care", "distance_unit", "drive_hour", "frame_care", "id", "install_hour", "latex_by", "loss_percent", "margin_floor_percent", "margin_percent", "markup_percent", "minimum_call_hours", "minimum_order", "overhead_percent", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_hour", "price_by", "print_m2", "rounding_step", "rush_percent", "service_percent", "strike_hour", "studio_id", "van_distance", "van_hour") VALUES (NEW."cover_care", NEW."distance_unit", NEW."drive_hour", NEW."frame_care", NEW."id", NEW."install_hour", NEW."latex_by", NEW."loss_percent", NEW."margin_floor_percent", NEW."margin_percent", NEW."markup_percent", NEW."minimum_call_hours", NEW."minimum_order", NEW."overhead_percent", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."prep_hour", NEW."price_by", NEW."print_m2", NEW."rounding_step", NEW."rush_percent", NEW."service_percent", NEW."strike_hour", NEW."studio_id", NEW."van_distance", NEW."van_hour"); RETURN NULL;',
                    hash="d99c5313a1135b13567a7b95033fa0c234f8072d",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_af788",
                    table="quoting_rates",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="rates",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_ratesevent" ("cover_care", "distance_unit", "drive_hour", "frame_care", "id", "install_hour", "latex_by", "loss_percent", "margin_floor_percent", "margin_percent", "markup_percent", "minimum_call_hours", "minimum_order", "overhead_percent", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_hour", "price_by", "print_m2", "rounding_step", "rush_percent", "service_percent", "strike_hour", "studio_id", "van_distance", "van_hour") VALUES (OLD."cover_care", OLD."distance_unit", OLD."drive_hour", OLD."frame_care", OLD."id", OLD."install_hour", OLD."latex_by", OLD."loss_percent", OLD."margin_floor_percent", OLD."margin_percent", OLD."markup_percent", OLD."minimum_call_hours", OLD."minimum_order", OLD."overhead_percent", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."prep_hour", OLD."price_by", OLD."print_m2", OLD."rounding_step", OLD."rush_percent", OLD."service_percent", OLD."strike_hour", OLD."studio_id", OLD."van_distance", OLD."van_hour"); RETURN NULL;',
                    hash="b4688413ff3f0b5a0b47d5eb919e37295c775190",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_efcfe",
                    table="quoting_rates",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="supply",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_supplyevent" ("code", "cost", "done_at", "due_on", "id", "kind", "label", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quote_id", "studio_id") VALUES (NEW."code", NEW."cost", NEW."done_at", NEW."due_on", NEW."id", NEW."kind", NEW."label", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."quote_id", NEW."studio_id"); RETURN NULL;',
                    hash="cdd6021c03161a314497ef23930cde699c87b464",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_40618",
                    table="quoting_supply",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="supply",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "quoting_supplyevent" ("code", "cost", "done_at", "due_on", "id", "kind", "label", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quote_id", "studio_id") VALUES (NEW."code", NEW."cost", NEW."done_at", NEW."due_on", NEW."id", NEW."kind", NEW."label", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."quote_id", NEW."studio_id"); RETURN NULL;',
                    hash="b6c3a16b5776bc844bf119736064cce5ae7153a5",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_67c41",
                    table="quoting_supply",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="supply",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_supplyevent" ("code", "cost", "done_at", "due_on", "id", "kind", "label", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "quote_id", "studio_id") VALUES (OLD."code", OLD."cost", OLD."done_at", OLD."due_on", OLD."id", OLD."kind", OLD."label", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."quote_id", OLD."studio_id"); RETURN NULL;',
                    hash="24c2c44256656e82a5b9ad07e006b44914732452",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_5beda",
                    table="quoting_supply",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="rates",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("cover_care__gte", 0),
                    ("frame_care__gte", 0),
                    ("margin_floor_percent__range", (0, 95)),
                    ("margin_percent__range", (0, 95)),
                    ("minimum_order__gte", 0),
                    ("price_by__in", ["markup", "margin"]),
                    ("print_m2__gte", 0),
                    ("rush_percent__range", (0, 300)),
                ),
                name="quoting_rates_price_ranges",
            ),
        ),
        migrations.AddConstraint(
            model_name="supply",
            constraint=models.CheckConstraint(
                condition=models.Q(("cost__gte", 0)), name="quoting_supply_cost_range"
            ),
        ),
    ]
