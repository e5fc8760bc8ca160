"""A tick or photo may come from a phone that was given the event by a link."""

from __future__ import annotations

import django.db.models.deletion
import studio.tenancy.models
from django.db import migrations

from studio.tenancy import migrating
from studio.tenancy.operations import GuardReference


class Migration(migrating.Migration):
    dependencies = [
        ("events", "0009_enclosures"),
        ("studio", "0006_crew_phones"),
    ]

    operations = [
        migrations.AddField(
            model_name="photo",
            name="crew_phone",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="studio.crewphone",
            ),
        ),
        migrations.AddField(
            model_name="tick",
            name="crew_phone",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="studio.crewphone",
            ),
        ),
        GuardReference("photo", "crew_phone"),
        GuardReference("tick", "crew_phone"),
    ]
