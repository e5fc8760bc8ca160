"""Lifelike pictures of set pieces, and where a piece is shown on its own."""

import django.db.models.deletion
import studio.tenancy.models
from django.conf import settings
from django.db import migrations, models

from studio.tenancy import migrating
from studio.tenancy.operations import GuardTenantTable


class Migration(migrating.Migration):
    dependencies = [
        ("quoting", "0020_thrown_away"),
        ("studio", "0009_promised_by_words"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="setpiece",
            name="still_room",
            field=models.CharField(
                choices=[("studio", "Plain studio"), ("hall", "Hall"), ("garden", "Garden at evening")],
                default="studio",
                max_length=8,
            ),
        ),
        migrations.AddField(
            model_name="setpiece",
            name="still_turn_deg",
            field=models.SmallIntegerField(
                default=0, help_text="From how far on the right its stills show it."
            ),
        ),
        migrations.CreateModel(
            name="Still",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "key",
                    models.CharField(
                        editable=False,
                        help_text="Digest of the design, the room and the angle.",
                        max_length=64,
                    ),
                ),
                ("design", models.JSONField(editable=False)),
                (
                    "room",
                    models.CharField(
                        choices=[
                            ("studio", "Plain studio"),
                            ("hall", "Hall"),
                            ("garden", "Garden at evening"),
                        ],
                        max_length=8,
                    ),
                ),
                ("turn_deg", models.SmallIntegerField(help_text="From how far on the right it is seen.")),
                (
                    "state",
                    models.CharField(
                        choices=[("asked", "asked for"), ("ready", "ready"), ("failed", "failed")],
                        default="asked",
                        editable=False,
                        max_length=8,
                    ),
                ),
                ("tries", models.PositiveSmallIntegerField(default=1, editable=False)),
                ("asked_at", models.DateTimeField(auto_now_add=True)),
                ("made_at", models.DateTimeField(editable=False, null=True)),
                (
                    "asked_by",
                    models.ForeignKey(
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "large",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="studio.storedfile",
                    ),
                ),
                (
                    "small",
                    studio.tenancy.models.TenantForeignKey(
                        db_constraint=False,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="studio.storedfile",
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
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("studio", "key"), name="quoting_still_key"),
                    models.CheckConstraint(
                        condition=models.Q(("room__in", ["studio", "hall", "garden"])),
                        name="quoting_still_room",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["asked", "ready", "failed"])),
                        name="quoting_still_state",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("turn_deg__range", (-40, 40))), name="quoting_still_turn"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("large__isnull", False),
                                ("made_at__isnull", False),
                                ("small__isnull", False),
                                ("state", "ready"),
                            ),
                            models.Q(
                                models.Q(("state", "ready"), _negated=True),
                                ("large", None),
                                ("made_at", None),
                                ("small", None),
                            ),
                            _connector="OR",
                        ),
                        name="quoting_still_ready_has_pictures",
                    ),
                ],
            },
        ),
        GuardTenantTable("still"),
    ]
