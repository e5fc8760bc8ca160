"""Counter-entries to receipts that were written down wrong."""

from __future__ import annotations

import django.db.models.deletion
from django.db import migrations, models
from django.db.models import Q

import studio.tenancy.models
from studio.tenancy import migrating
from studio.tenancy.operations import GuardReference


class Migration(migrating.Migration):
    """A kind of movement of its own, which points to the receipt."""

    dependencies = [
        ("stock", "0008_plain_words"),
        ("studio", "0008_elevation"),
    ]

    operations = [
        migrations.AddField(
            model_name="movement",
            name="corrects",
            field=studio.tenancy.models.TenantForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="corrections",
                to="stock.movement",
            ),
        ),
        migrations.AlterField(
            model_name="movement",
            name="kind",
            field=models.CharField(
                choices=[
                    ("opening", "opening stock"),
                    ("received", "received"),
                    ("used", "used"),
                    ("counted", "counted"),
                    ("broken", "broken"),
                    ("lost", "lost"),
                    ("returned", "returned unused"),
                    ("moved", "moved"),
                    ("sent back", "sent back to the supplier"),
                    ("corrected", "receipt corrected"),
                ],
                max_length=9,
            ),
        ),
        migrations.RemoveConstraint(model_name="movement", name="stock_movement_sign"),
        migrations.AddConstraint(
            model_name="movement",
            constraint=models.CheckConstraint(
                condition=Q(kind__in=["opening", "received", "returned"], quantity__gt=0)
                | Q(kind__in=["used", "broken", "lost", "sent back"], quantity__lt=0)
                | Q(kind="counted")
                | Q(kind="moved", quantity=0)
                | Q(kind="corrected") & ~Q(quantity=0),
                name="stock_movement_sign",
            ),
        ),
        migrations.AddConstraint(
            model_name="movement",
            constraint=models.CheckConstraint(
                condition=Q(kind="corrected", corrects__isnull=False)
                | ~Q(kind="corrected") & Q(corrects__isnull=True),
                name="stock_movement_only_a_correction_corrects",
            ),
        ),
        GuardReference("movement", "corrects"),
    ]
