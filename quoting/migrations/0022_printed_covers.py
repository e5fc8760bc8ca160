"""Images that are printed on covers, and what a printed cover costs by its area."""

import django.core.validators
import django.db.models.deletion
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
        ("quoting", "0021_stills"),
        ("studio", "0009_promised_by_words"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="PrintImage",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=120)),
                (
                    "digest",
                    models.CharField(help_text="SHA-256 of the whole picture, hexadecimal.", max_length=64),
                ),
                ("width_px", models.PositiveIntegerField()),
                ("height_px", models.PositiveIntegerField()),
                ("made_at", models.DateTimeField(auto_now_add=True)),
            ],
            options={
                "ordering": ["name", "pk"],
            },
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
        migrations.RemoveConstraint(
            model_name="rates",
            name="quoting_rates_price_ranges",
        ),
        migrations.AddField(
            model_name="rates",
            name="print_m2",
            field=models.DecimalField(
                decimal_places=4,
                default=Decimal("45"),
                help_text="What printing and sewing cost you, bleed included.",
                max_digits=12,
                validators=[django.core.validators.MinValueValidator(Decimal("0"))],
                verbose_name="printed cover, a square meter",
            ),
        ),
        migrations.AddField(
            model_name="ratesevent",
            name="print_m2",
            field=models.DecimalField(
                decimal_places=4,
                default=Decimal("45"),
                help_text="What printing and sewing cost you, bleed included.",
                max_digits=12,
                validators=[django.core.validators.MinValueValidator(Decimal("0"))],
                verbose_name="printed cover, a square meter",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="rates",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "quoting_ratesevent" ("cover_care", "distance_unit", "drive_hour", "frame_care", "id", "install_hour", "latex_by", "loss_percent", "margin_percent", "markup_percent", "minimum_call_hours", "minimum_order", "overhead_percent", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_hour", "price_by", "print_m2", "rounding_step", "rush_percent", "service_percent", "strike_hour", "studio_id", "van_distance", "van_hour") VALUES (NEW."cover_care", NEW."distance_unit", NEW."drive_hour", NEW."frame_care", NEW."id", NEW."install_hour", NEW."latex_by", NEW."loss_percent", NEW."margin_percent", NEW."markup_percent", NEW."minimum_call_hours", NEW."minimum_order", NEW."overhead_percent", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."prep_hour", NEW."price_by", NEW."print_m2", NEW."rounding_step", NEW."rush_percent", NEW."service_percent", NEW."strike_hour", NEW."studio_id", NEW."van_distance", NEW."van_hour"); RETURN NULL;',
                    hash="d4fee66fa3302bdfc28300b2fa905802d5c1be8e",
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
                    func='INSERT INTO "quoting_ratesevent" ("cover_care", "distance_unit", "drive_hour", "frame_care", "id", "install_hour", "latex_by", "loss_percent", "margin_percent", "markup_percent", "minimum_call_hours", "minimum_order", "overhead_percent", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_hour", "price_by", "print_m2", "rounding_step", "rush_percent", "service_percent", "strike_hour", "studio_id", "van_distance", "van_hour") VALUES (NEW."cover_care", NEW."distance_unit", NEW."drive_hour", NEW."frame_care", NEW."id", NEW."install_hour", NEW."latex_by", NEW."loss_percent", NEW."margin_percent", NEW."markup_percent", NEW."minimum_call_hours", NEW."minimum_order", NEW."overhead_percent", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."prep_hour", NEW."price_by", NEW."print_m2", NEW."rounding_step", NEW."rush_percent", NEW."service_percent", NEW."strike_hour", NEW."studio_id", NEW."van_distance", NEW."van_hour"); RETURN NULL;',
                    hash="a33345c8e2074163b2828a0e2e9fe7b345420650",
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
                    func='INSERT INTO "quoting_ratesevent" ("cover_care", "distance_unit", "drive_hour", "frame_care", "id", "install_hour", "latex_by", "loss_percent", "margin_percent", "markup_percent", "minimum_call_hours", "minimum_order", "overhead_percent", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "prep_hour", "price_by", "print_m2", "rounding_step", "rush_percent", "service_percent", "strike_hour", "studio_id", "van_distance", "van_hour") VALUES (OLD."cover_care", OLD."distance_unit", OLD."drive_hour", OLD."frame_care", OLD."id", OLD."install_hour", OLD."latex_by", OLD."loss_percent", OLD."margin_percent", OLD."markup_percent", OLD."minimum_call_hours", OLD."minimum_order", OLD."overhead_percent", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."prep_hour", OLD."price_by", OLD."print_m2", OLD."rounding_step", OLD."rush_percent", OLD."service_percent", OLD."strike_hour", OLD."studio_id", OLD."van_distance", OLD."van_hour"); RETURN NULL;',
                    hash="58c51f49c8bc98ebf4661c579c218ad7619c73a4",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_efcfe",
                    table="quoting_rates",
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
                    ("margin_percent__range", (0, 95)),
                    ("minimum_order__gte", 0),
                    ("price_by__in", ["markup", "margin"]),
                    ("print_m2__gte", 0),
                    ("rush_percent__range", (0, 300)),
                ),
                name="quoting_rates_price_ranges",
            ),
        ),
        migrations.AddField(
            model_name="printimage",
            name="made_by",
            field=models.ForeignKey(
                editable=False,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="printimage",
            name="small",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="studio.storedfile",
            ),
        ),
        migrations.AddField(
            model_name="printimage",
            name="studio",
            field=studio.tenancy.models.StudioKey(
                editable=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="studio.studio",
            ),
        ),
        migrations.AddField(
            model_name="printimage",
            name="whole",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="studio.storedfile",
            ),
        ),
        migrations.AddConstraint(
            model_name="printimage",
            constraint=models.UniqueConstraint(
                fields=("studio", "digest"), name="quoting_printimage_digest_key"
            ),
        ),
        migrations.AddConstraint(
            model_name="printimage",
            constraint=models.CheckConstraint(
                condition=models.Q(("digest__regex", "^[0-9a-f]{64}$")), name="quoting_printimage_digest_form"
            ),
        ),
        migrations.AddConstraint(
            model_name="printimage",
            constraint=models.CheckConstraint(
                condition=models.Q(("height_px__gte", 1), ("width_px__gte", 1)),
                name="quoting_printimage_has_pixels",
            ),
        ),
        GuardTenantTable("printimage"),
    ]
