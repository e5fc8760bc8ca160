"""What clients see of a price, the deposit as an amount, and delivery by distance."""

import django.core.validators
import django.db.models.deletion
import pghistory.utils
import pgtrigger.compiler
import pgtrigger.migrations
import studio.tenancy.models
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models
from studio.tenancy import migrating
from studio.tenancy.operations import GuardTenantTable


class Migration(migrating.Migration):
    dependencies = [
        ("events", "0024_portfolio"),
        ("quoting", "0024_venue_backdrop"),
        ("studio", "0012_first_steps"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="DeliveryBand",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("up_to", models.DecimalField(decimal_places=1, help_text="One way.", max_digits=7)),
                (
                    "price",
                    models.DecimalField(
                        decimal_places=4,
                        help_text="Of the whole event; with tax where prices are.",
                        max_digits=12,
                    ),
                ),
            ],
            options={
                "ordering": ["up_to"],
            },
        ),
        migrations.CreateModel(
            name="DeliveryBandEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("pgh_context", pghistory.utils.JSONField(null=True)),
                ("id", models.BigIntegerField()),
                ("up_to", models.DecimalField(decimal_places=1, help_text="One way.", max_digits=7)),
                (
                    "price",
                    models.DecimalField(
                        decimal_places=4,
                        help_text="Of the whole event; with tax where prices are.",
                        max_digits=12,
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="quote",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="quote",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="quote",
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
        migrations.AddField(
            model_name="quote",
            name="client_view",
            field=models.CharField(
                blank=True,
                choices=[
                    ("piece", "one price per piece, and delivery"),
                    ("group", "by group: materials, florals, frames, labor, delivery"),
                    ("full", "in full, line by line"),
                ],
                help_text="Empty: as the studio shows it.",
                max_length=5,
                verbose_name="what the client sees",
            ),
        ),
        migrations.AddField(
            model_name="quote",
            name="deposit_amount",
            field=models.DecimalField(
                blank=True,
                decimal_places=4,
                help_text="With tax; in place of the share.",
                max_digits=12,
                null=True,
                validators=[django.core.validators.MinValueValidator(Decimal("0"))],
                verbose_name="deposit as an amount",
            ),
        ),
        migrations.AddField(
            model_name="quoteevent",
            name="client_view",
            field=models.CharField(
                blank=True,
                choices=[
                    ("piece", "one price per piece, and delivery"),
                    ("group", "by group: materials, florals, frames, labor, delivery"),
                    ("full", "in full, line by line"),
                ],
                help_text="Empty: as the studio shows it.",
                max_length=5,
                verbose_name="what the client sees",
            ),
        ),
        migrations.AddField(
            model_name="quoteevent",
            name="deposit_amount",
            field=models.DecimalField(
                blank=True,
                decimal_places=4,
                help_text="With tax; in place of the share.",
                max_digits=12,
                null=True,
                validators=[django.core.validators.MinValueValidator(Decimal("0"))],
                verbose_name="deposit as an amount",
            ),
        ),
        migrations.AddField(
            model_name="rates",
            name="client_view",
            field=models.CharField(
                choices=[
                    ("piece", "one price per piece, and delivery"),
                    ("group", "by group: materials, florals, frames, labor, delivery"),
                    ("full", "in full, line by line"),
                ],
                default="piece",
                max_length=5,
                verbose_name="prices on offers",
            ),
        ),
        migrations.AddField(
            model_name="rates",
            name="clients_see_counts",
            field=models.BooleanField(default=False, verbose_name="show how many balloons there are"),
        ),
        migrations.AddField(
            model_name="rates",
            name="clients_see_hours",
            field=models.BooleanField(default=False, verbose_name="show hours of work"),
        ),
        migrations.AddField(
            model_name="rates",
            name="delivery_by",
            field=models.CharField(
                choices=[
                    ("costs", "from your costs: distance, drive and crew"),
                    ("bands", "from your table: by distance"),
                ],
                default="costs",
                max_length=5,
                verbose_name="delivery",
            ),
        ),
        migrations.AddField(
            model_name="rates",
            name="deposit_amount",
            field=models.DecimalField(
                blank=True,
                decimal_places=4,
                help_text="With tax. None: a share, as the studio's profile says.",
                max_digits=12,
                null=True,
                validators=[django.core.validators.MinValueValidator(Decimal("0"))],
                verbose_name="deposit as an amount",
            ),
        ),
        migrations.AddField(
            model_name="ratesevent",
            name="client_view",
            field=models.CharField(
                choices=[
                    ("piece", "one price per piece, and delivery"),
                    ("group", "by group: materials, florals, frames, labor, delivery"),
                    ("full", "in full, line by line"),
                ],
                default="piece",
                max_length=5,
                verbose_name="prices on offers",
            ),
        ),
        migrations.AddField(
            model_name="ratesevent",
            name="clients_see_counts",
            field=models.BooleanField(default=False, verbose_name="show how many balloons there are"),
        ),
        migrations.AddField(
            model_name="ratesevent",
            name="clients_see_hours",
            field=models.BooleanField(default=False, verbose_name="show hours of work"),
        ),
        migrations.AddField(
            model_name="ratesevent",
            name="delivery_by",
            field=models.CharField(
                choices=[
                    ("costs", "from your costs: distance, drive and crew"),
                    ("bands", "from your table: by distance"),
                ],
                default="costs",
                max_length=5,
                verbose_name="delivery",
            ),
        ),
        migrations.AddField(
            model_name="ratesevent",
            name="deposit_amount",
            field=models.DecimalField(
                blank=True,
                decimal_places=4,
                help_text="With tax. None: a share, as the studio's profile says.",
                max_digits=12,
                null=True,
                validators=[django.core.validators.MinValueValidator(Decimal("0"))],
                verbose_name="deposit as an amount",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="quote",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_quoteevent" ("by_hand", "changed_by_id", "client_view", "deposit_amount", "deposit_percent", "discount_amount", "discount_percent", "discount_reason", "distance_m", "drive_minutes", "event_id", "id", "instalments", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "rush_percent", "state", "studio_id", "title", "trips") VALUES (NEW."by_hand", NEW."changed_by_id", NEW."client_view", NEW."deposit_amount", NEW."deposit_percent", NEW."discount_amount", NEW."discount_percent", NEW."discount_reason", NEW."distance_m", NEW."drive_minutes", NEW."event_id", NEW."id", NEW."instalments", NEW."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."rush_percent", NEW."state", NEW."studio_id", NEW."title", NEW."trips"); RETURN NULL;',
                    hash="1e1ec353da2ad830b61d78baba464b21b71e2fb8",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_48141",
                    table="quoting_quote",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="quote",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition='WHEN (OLD."by_hand" IS DISTINCT FROM (NEW."by_hand") OR OLD."changed_by_id" IS DISTINCT FROM (NEW."changed_by_id") OR OLD."client_view" IS DISTINCT FROM (NEW."client_view") OR OLD."deposit_amount" IS DISTINCT FROM (NEW."deposit_amount") OR OLD."deposit_percent" IS DISTINCT FROM (NEW."deposit_percent") OR OLD."discount_amount" IS DISTINCT FROM (NEW."discount_amount") OR OLD."discount_percent" IS DISTINCT FROM (NEW."discount_percent") OR OLD."discount_reason" IS DISTINCT FROM (NEW."discount_reason") OR OLD."distance_m" IS DISTINCT FROM (NEW."distance_m") OR OLD."drive_minutes" IS DISTINCT FROM (NEW."drive_minutes") OR OLD."event_id" IS DISTINCT FROM (NEW."event_id") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."instalments" IS DISTINCT FROM (NEW."instalments") OR OLD."made_at" IS DISTINCT FROM (NEW."made_at") OR OLD."rush_percent" IS DISTINCT FROM (NEW."rush_percent") OR OLD."state" IS DISTINCT FROM (NEW."state") OR OLD."studio_id" IS DISTINCT FROM (NEW."studio_id") OR OLD."title" IS DISTINCT FROM (NEW."title") OR OLD."trips" IS DISTINCT FROM (NEW."trips"))',
                    func='INSERT INTO "quoting_quoteevent" ("by_hand", "changed_by_id", "client_view", "deposit_amount", "deposit_percent", "discount_amount", "discount_percent", "discount_reason", "distance_m", "drive_minutes", "event_id", "id", "instalments", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "rush_percent", "state", "studio_id", "title", "trips") VALUES (NEW."by_hand", NEW."changed_by_id", NEW."client_view", NEW."deposit_amount", NEW."deposit_percent", NEW."discount_amount", NEW."discount_percent", NEW."discount_reason", NEW."distance_m", NEW."drive_minutes", NEW."event_id", NEW."id", NEW."instalments", NEW."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."rush_percent", NEW."state", NEW."studio_id", NEW."title", NEW."trips"); RETURN NULL;',
                    hash="5168b1c651729d8a93b4a9f09561850f781f652d",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_97818",
                    table="quoting_quote",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="quote",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_quoteevent" ("by_hand", "changed_by_id", "client_view", "deposit_amount", "deposit_percent", "discount_amount", "discount_percent", "discount_reason", "distance_m", "drive_minutes", "event_id", "id", "instalments", "made_at", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "rush_percent", "state", "studio_id", "title", "trips") VALUES (OLD."by_hand", OLD."changed_by_id", OLD."client_view", OLD."deposit_amount", OLD."deposit_percent", OLD."discount_amount", OLD."discount_percent", OLD."discount_reason", OLD."distance_m", OLD."drive_minutes", OLD."event_id", OLD."id", OLD."instalments", OLD."made_at", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."rush_percent", OLD."state", OLD."studio_id", OLD."title", OLD."trips"); RETURN NULL;',
                    hash="7a28ff6bacfce0a1fc95e3ca1f14cc4765a8cac4",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_2a3b2",
                    table="quoting_quote",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="rates",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_ratesevent" ("client_view", "clients_see_counts", "clients_see_hours", "cover_care", "delivery_by", "deposit_amount", "distance_unit", "drive_hour", "frame_care", "id", "install_hour", "latex_by", "loss_percent", "margin_floor_percent", "margin_percent", "markup_percent", "minimum_call_hours", "minimum_order", "overhead_percent", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_hour", "price_by", "print_m2", "rounding_step", "rush_percent", "service_percent", "strike_hour", "studio_id", "van_distance", "van_hour") VALUES (NEW."client_view", NEW."clients_see_counts", NEW."clients_see_hours", NEW."cover_care", NEW."delivery_by", NEW."deposit_amount", NEW."distance_unit", NEW."drive_hour", NEW."frame_care", NEW."id", NEW."install_hour", NEW."latex_by", NEW."loss_percent", NEW."margin_floor_percent", NEW."margin_percent", NEW."markup_percent", NEW."minimum_call_hours", NEW."minimum_order", NEW."overhead_percent", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."prep_hour", NEW."price_by", NEW."print_m2", NEW."rounding_step", NEW."rush_percent", NEW."service_percent", NEW."strike_hour", NEW."studio_id", NEW."van_distance", NEW."van_hour"); RETURN NULL;',
                    hash="fb8efc421381da25dc731028e3d17dd6ec7da035",
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
                    func='INSERT INTO "quoting_ratesevent" ("client_view", "clients_see_counts", "clients_see_hours", "cover_care", "delivery_by", "deposit_amount", "distance_unit", "drive_hour", "frame_care", "id", "install_hour", "latex_by", "loss_percent", "margin_floor_percent", "margin_percent", "markup_percent", "minimum_call_hours", "minimum_order", "overhead_percent", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_hour", "price_by", "print_m2", "rounding_step", "rush_percent", "service_percent", "strike_hour", "studio_id", "van_distance", "van_hour") VALUES (NEW."client_view", NEW."clients_see_counts", NEW."clients_see_hours", NEW."cover_care", NEW."delivery_by", NEW."deposit_amount", NEW."distance_unit", NEW."drive_hour", NEW."frame_care", NEW."id", NEW."install_hour", NEW."latex_by", NEW."loss_percent", NEW."margin_floor_percent", NEW."margin_percent", NEW."markup_percent", NEW."minimum_call_hours", NEW."minimum_order", NEW."overhead_percent", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."prep_hour", NEW."price_by", NEW."print_m2", NEW."rounding_step", NEW."rush_percent", NEW."service_percent", NEW."strike_hour", NEW."studio_id", NEW."van_distance", NEW."van_hour"); RETURN NULL;',
                    hash="db7031382eabb024533a644ce36aec5781068619",
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
                    func='INSERT INTO "quoting_ratesevent" ("client_view", "clients_see_counts", "clients_see_hours", "cover_care", "delivery_by", "deposit_amount", "distance_unit", "drive_hour", "frame_care", "id", "install_hour", "latex_by", "loss_percent", "margin_floor_percent", "margin_percent", "markup_percent", "minimum_call_hours", "minimum_order", "overhead_percent", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_hour", "price_by", "print_m2", "rounding_step", "rush_percent", "service_percent", "strike_hour", "studio_id", "van_distance", "van_hour") VALUES (OLD."client_view", OLD."clients_see_counts", OLD."clients_see_hours", OLD."cover_care", OLD."delivery_by", OLD."deposit_amount", OLD."distance_unit", OLD."drive_hour", OLD."frame_care", OLD."id", OLD."install_hour", OLD."latex_by", OLD."loss_percent", OLD."margin_floor_percent", OLD."margin_percent", OLD."markup_percent", OLD."minimum_call_hours", OLD."minimum_order", OLD."overhead_percent", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."prep_hour", OLD."price_by", OLD."print_m2", OLD."rounding_step", OLD."rush_percent", OLD."service_percent", OLD."strike_hour", OLD."studio_id", OLD."van_distance", OLD."van_hour"); RETURN NULL;',
                    hash="5f1e24bfedb7b0657ef9eb7b5eaace344dad019c",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_efcfe",
                    table="quoting_rates",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="quote",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("deposit_amount", None),
                        models.Q(("deposit_amount__gte", 0), ("deposit_percent", None)),
                        _connector="OR",
                    ),
                    ("client_view__in", ["", "piece", "group", "full"]),
                ),
                name="quoting_quote_client_terms",
            ),
        ),
        migrations.AddConstraint(
            model_name="rates",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("client_view__in", ["piece", "group", "full"]),
                    ("delivery_by__in", ["costs", "bands"]),
                    models.Q(("deposit_amount", None), ("deposit_amount__gte", 0), _connector="OR"),
                ),
                name="quoting_rates_client_terms",
            ),
        ),
        migrations.AddField(
            model_name="deliveryband",
            name="studio",
            field=studio.tenancy.models.StudioKey(
                editable=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="studio.studio",
            ),
        ),
        migrations.AddField(
            model_name="deliverybandevent",
            name="pgh_obj",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="history",
                to="quoting.deliveryband",
            ),
        ),
        migrations.AddField(
            model_name="deliverybandevent",
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
        migrations.AddConstraint(
            model_name="deliveryband",
            constraint=models.UniqueConstraint(fields=("studio", "up_to"), name="quoting_deliveryband_key"),
        ),
        migrations.AddConstraint(
            model_name="deliveryband",
            constraint=models.CheckConstraint(
                condition=models.Q(("price__gte", 0), ("up_to__gt", 0)), name="quoting_deliveryband_range"
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="deliveryband",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_deliverybandevent" ("id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "price", "studio_id", "up_to") VALUES (NEW."id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."price", NEW."studio_id", NEW."up_to"); RETURN NULL;',
                    hash="0d705d11ea92a3ff77f864e6459673bce5d57ce8",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_a9ade",
                    table="quoting_deliveryband",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="deliveryband",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "quoting_deliverybandevent" ("id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "price", "studio_id", "up_to") VALUES (NEW."id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."price", NEW."studio_id", NEW."up_to"); RETURN NULL;',
                    hash="2b3c4d20f7ceafa34e9c5e06f1529540eda3e2a5",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_a7dbd",
                    table="quoting_deliveryband",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="deliveryband",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_deliverybandevent" ("id", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "price", "studio_id", "up_to") VALUES (OLD."id", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."price", OLD."studio_id", OLD."up_to"); RETURN NULL;',
                    hash="5190ee6266d5fcb054438e5807e77c6e261487ed",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_e70da",
                    table="quoting_deliveryband",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="deliverybandevent",
            trigger=pgtrigger.compiler.Trigger(
                name="append_only",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;",
                    hash="629e15d8512663d2cbaa5d68183bde95bb7d6cd8",
                    operation="UPDATE OR DELETE",
                    pgid="pgtrigger_append_only_b40ec",
                    table="quoting_deliverybandevent",
                    when="BEFORE",
                ),
            ),
        ),
        GuardTenantTable("deliveryband"),
        GuardTenantTable("deliverybandevent", references=False),
    ]
