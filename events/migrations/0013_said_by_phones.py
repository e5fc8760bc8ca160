"""A line of the log or a stage reached may come from a phone that was given the event by a link."""

from __future__ import annotations

import django.db.models.deletion
import studio.tenancy.models
from django.conf import settings
from django.db import migrations, models

from studio.tenancy import migrating
from studio.tenancy.operations import GuardReference


class Migration(migrating.Migration):
    dependencies = [
        ("events", "0012_spare_balloons"),
        ("studio", "0006_crew_phones"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="logentry",
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
            model_name="stagereached",
            name="crew_phone",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="studio.crewphone",
            ),
        ),
        migrations.AddConstraint(
            model_name="logentry",
            constraint=models.CheckConstraint(
                condition=models.Q(("person", None), ("crew_phone", None), _connector="OR"),
                name="events_logentry_by_person_or_phone",
            ),
        ),
        migrations.AddConstraint(
            model_name="stagereached",
            constraint=models.CheckConstraint(
                condition=models.Q(("person", None), ("crew_phone", None), _connector="OR"),
                name="events_stagereached_by_person_or_phone",
            ),
        ),
        GuardReference("logentry", "crew_phone"),
        GuardReference("stagereached", "crew_phone"),
    ]
