"""What clients wish, and the form on the studio's own website."""

import django.core.validators
import django.db.models.deletion
import pghistory.utils
import pgtrigger.compiler
import pgtrigger.migrations
import studio.tenancy.models
from decimal import Decimal
from django.db import migrations, models

from studio.tenancy import migrating
from studio.tenancy.operations import GuardTenantTable, while_no_studio_is_entered


class Migration(migrating.Migration):
    dependencies = [
        ("events", "0024_portfolio"),
        ("studio", "0013_country_and_colour"),
    ]

    operations = [
        migrations.CreateModel(
            name="Wishes",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("occasion", models.CharField(blank=True, max_length=80)),
                (
                    "guests",
                    models.PositiveIntegerField(
                        blank=True,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(100000),
                        ],
                    ),
                ),
                ("colours", models.CharField(blank=True, max_length=200, verbose_name="colors")),
                (
                    "budget",
                    models.DecimalField(
                        blank=True,
                        decimal_places=4,
                        max_digits=12,
                        null=True,
                        validators=[django.core.validators.MinValueValidator(Decimal("0"))],
                    ),
                ),
                (
                    "source",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("call", "phone call"),
                            ("website", "our website"),
                            ("recommended", "recommended"),
                            ("social", "social media"),
                            ("venue", "the venue or a planner"),
                            ("again", "was a client before"),
                            ("other", "otherwise"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "event",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="wishes",
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
        ),
        migrations.CreateModel(
            name="WishesEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("pgh_context", pghistory.utils.JSONField(null=True)),
                ("id", models.BigIntegerField()),
                ("occasion", models.CharField(blank=True, max_length=80)),
                (
                    "guests",
                    models.PositiveIntegerField(
                        blank=True,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(100000),
                        ],
                    ),
                ),
                ("colours", models.CharField(blank=True, max_length=200, verbose_name="colors")),
                (
                    "budget",
                    models.DecimalField(
                        blank=True,
                        decimal_places=4,
                        max_digits=12,
                        null=True,
                        validators=[django.core.validators.MinValueValidator(Decimal("0"))],
                    ),
                ),
                (
                    "source",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("call", "phone call"),
                            ("website", "our website"),
                            ("recommended", "recommended"),
                            ("social", "social media"),
                            ("venue", "the venue or a planner"),
                            ("again", "was a client before"),
                            ("other", "otherwise"),
                        ],
                        max_length=12,
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
                        to="events.wishes",
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
        migrations.CreateModel(
            name="WebsiteForm",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("slug", models.SlugField(editable=False, max_length=60)),
                ("is_open", models.BooleanField(default=False, verbose_name="clients can send enquiries")),
                ("greeting", models.CharField(blank=True, help_text="Above the form.", max_length=300)),
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
                "constraints": [models.UniqueConstraint(fields=("studio",), name="events_websiteform_one")],
            },
        ),
        migrations.AddConstraint(
            model_name="wishes",
            constraint=models.UniqueConstraint(fields=("studio", "event"), name="events_wishes_one"),
        ),
        migrations.AddConstraint(
            model_name="wishes",
            constraint=models.CheckConstraint(
                condition=models.Q(("guests", None), ("guests__range", (1, 100000)), _connector="OR"),
                name="events_wishes_guests_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="wishes",
            constraint=models.CheckConstraint(
                condition=models.Q(("budget", None), ("budget__gte", 0), _connector="OR"),
                name="events_wishes_budget_not_negative",
            ),
        ),
        migrations.AddConstraint(
            model_name="wishes",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("source", ""),
                    ("source__in", ["call", "website", "recommended", "social", "venue", "again", "other"]),
                    _connector="OR",
                ),
                name="events_wishes_source_known",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="wishes",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "events_wishesevent" ("budget", "colours", "event_id", "guests", "id", "occasion", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "source", "studio_id") VALUES (NEW."budget", NEW."colours", NEW."event_id", NEW."guests", NEW."id", NEW."occasion", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'insert\', NEW."id", NEW."source", NEW."studio_id"); RETURN NULL;',
                    hash="486cced86c055b74a6725f47fe653e618fe8de5f",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_aaf9b",
                    table="events_wishes",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="wishes",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "events_wishesevent" ("budget", "colours", "event_id", "guests", "id", "occasion", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "source", "studio_id") VALUES (NEW."budget", NEW."colours", NEW."event_id", NEW."guests", NEW."id", NEW."occasion", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'update\', NEW."id", NEW."source", NEW."studio_id"); RETURN NULL;',
                    hash="3dc313d6481dcb94f4abcde40c89ab85cff55e44",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_08e16",
                    table="events_wishes",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="wishes",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "events_wishesevent" ("budget", "colours", "event_id", "guests", "id", "occasion", "pgh_context", "pgh_created_at", "pgh_label", "pgh_obj_id", "source", "studio_id") VALUES (OLD."budget", OLD."colours", OLD."event_id", OLD."guests", OLD."id", OLD."occasion", COALESCE(NULLIF(CURRENT_SETTING(\'pghistory.context_metadata\', TRUE), \'\'), NULL)::JSONB, CLOCK_TIMESTAMP(), \'delete\', OLD."id", OLD."source", OLD."studio_id"); RETURN NULL;',
                    hash="72877c7f34e5e62063ee885802028b6f96ec489f",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_6f4eb",
                    table="events_wishes",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="wishesevent",
            trigger=pgtrigger.compiler.Trigger(
                name="append_only",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;",
                    hash="549ba3c43bffb2b845a903707c63dfc7f457a2af",
                    operation="UPDATE OR DELETE",
                    pgid="pgtrigger_append_only_56606",
                    table="events_wishesevent",
                    when="BEFORE",
                ),
            ),
        ),
        GuardTenantTable("wishes"),
        GuardTenantTable("wishesevent", references=False),
        # Whoever opens the form has entered no studio yet.
        GuardTenantTable("websiteform", read_also=while_no_studio_is_entered("is_open")),
    ]
