"""Ticks speak of more than loading, and belong to their event; photos from the phone."""

import django.contrib.postgres.fields
import django.db.models.deletion
import studio.tenancy.models
from studio.tenancy import migrating
from studio.tenancy.operations import GuardReference, GuardTenantTable
from django.conf import settings
from django.db import migrations, models


# The log refuses changes and hides rows from whoever entered no studio, its owner too: both rest for this one fill.
GIVE_OLD_TICKS_THEIR_EVENT = """
ALTER TABLE events_tick NO FORCE ROW LEVEL SECURITY;
ALTER TABLE events_loadoutline NO FORCE ROW LEVEL SECURITY;
ALTER TABLE events_tick DISABLE TRIGGER append_only;
UPDATE events_tick SET event_id = line.event_id FROM events_loadoutline line WHERE line.id = events_tick.line_id;
SET CONSTRAINTS ALL IMMEDIATE;
ALTER TABLE events_tick ENABLE TRIGGER append_only;
ALTER TABLE events_loadoutline FORCE ROW LEVEL SECURITY;
ALTER TABLE events_tick FORCE ROW LEVEL SECURITY;
"""


class Migration(migrating.Migration):
    dependencies = [
        ("events", "0002_row_level_security"),
        ("studio", "0002_row_level_security"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Photo",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uuid", models.UUIDField()),
                ("width_px", models.PositiveIntegerField()),
                ("height_px", models.PositiveIntegerField()),
                ("phone", models.CharField(blank=True, max_length=36)),
                ("made_at", models.DateTimeField()),
                ("received_at", models.DateTimeField(auto_now_add=True)),
            ],
            options={
                "ordering": ["made_at", "uuid"],
            },
        ),
        migrations.AddField(
            model_name="tick",
            name="after",
            field=django.contrib.postgres.fields.ArrayField(
                base_field=models.UUIDField(), null=True, size=None
            ),
        ),
        migrations.AddField(
            model_name="tick",
            name="broken",
            field=models.PositiveIntegerField(default=0),
        ),
        migrations.AddField(
            model_name="tick",
            name="event",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="ticks",
                to="events.event",
            ),
        ),
        migrations.RunSQL(GIVE_OLD_TICKS_THEIR_EVENT, migrations.RunSQL.noop),
        migrations.AlterField(
            model_name="tick",
            name="event",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="ticks",
                to="events.event",
            ),
        ),
        GuardReference("tick", "event"),
        migrations.AddField(
            model_name="tick",
            name="hands",
            field=models.PositiveSmallIntegerField(default=1),
        ),
        migrations.AddField(
            model_name="tick",
            name="kind",
            field=models.CharField(
                choices=[
                    ("loaded", "loaded"),
                    ("back", "counted back"),
                    ("note", "noted"),
                    ("step", "step taken"),
                    ("hours", "hours spent"),
                ],
                default="loaded",
                max_length=6,
            ),
        ),
        migrations.AddField(
            model_name="tick",
            name="lost",
            field=models.PositiveIntegerField(default=0),
        ),
        migrations.AddField(
            model_name="tick",
            name="task",
            field=models.CharField(blank=True, max_length=60),
        ),
        migrations.AddField(
            model_name="tick",
            name="text",
            field=models.CharField(blank=True, max_length=500),
        ),
        migrations.AddField(
            model_name="tick",
            name="used",
            field=models.PositiveIntegerField(default=0),
        ),
        migrations.AlterField(
            model_name="tick",
            name="count",
            field=models.PositiveIntegerField(default=0, help_text="How many in all, not how many more."),
        ),
        migrations.AlterField(
            model_name="tick",
            name="line",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="ticks",
                to="events.loadoutline",
            ),
        ),
        migrations.AddIndex(
            model_name="tick",
            index=models.Index(fields=["studio", "event", "made_at"], name="events_tick_by_event"),
        ),
        migrations.AddConstraint(
            model_name="tick",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind__in", ["loaded", "back"]), ("line__isnull", False)),
                    models.Q(("kind", "note"), models.Q(("text", ""), _negated=True)),
                    models.Q(
                        ("kind", "step"),
                        ("line__isnull", True),
                        ("task__in", ["prepared", "installed", "struck", "counted_back"]),
                    ),
                    models.Q(
                        ("hands__gte", 1),
                        ("kind", "hours"),
                        ("line__isnull", True),
                        models.Q(("task", ""), _negated=True),
                    ),
                    _connector="OR",
                ),
                name="events_tick_says_what_its_kind_says",
            ),
        ),
        migrations.AddConstraint(
            model_name="tick",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("kind", "back"), models.Q(("broken", 0), ("lost", 0), ("used", 0)), _connector="OR"
                ),
                name="events_tick_only_a_count_back_breaks_things",
            ),
        ),
        migrations.AddField(
            model_name="photo",
            name="event",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="photos",
                to="events.event",
            ),
        ),
        migrations.AddField(
            model_name="photo",
            name="file",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="studio.storedfile",
            ),
        ),
        migrations.AddField(
            model_name="photo",
            name="person",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="photo",
            name="studio",
            field=studio.tenancy.models.StudioKey(
                editable=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="studio.studio",
            ),
        ),
        migrations.AddIndex(
            model_name="photo",
            index=models.Index(fields=["studio", "event", "made_at"], name="events_photo_by_event"),
        ),
        migrations.AddConstraint(
            model_name="photo",
            constraint=models.UniqueConstraint(fields=("studio", "uuid"), name="events_photo_uuid_key"),
        ),
        GuardTenantTable("photo"),
    ]
