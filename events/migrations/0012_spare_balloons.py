"""Of what is on a bill so many are spare, and have a line of their own on the load-out list."""

from __future__ import annotations

import django.db.models.functions.text
from django.db import migrations, models

from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("events", "0011_drives_and_rounds"),
        ("studio", "0006_crew_phones"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="loadoutline",
            name="events_loadoutline_place",
        ),
        migrations.AddField(
            model_name="billrow",
            name="spare",
            field=models.PositiveIntegerField(
                default=0,
                help_text="How many of them are the loss allowance: brought flat, in case others pop.",
            ),
        ),
        migrations.AddField(
            model_name="loadoutline",
            name="spare_of",
            field=models.CharField(
                blank=True,
                help_text="Of spare balloons: the code under which the shelf has them.",
                max_length=80,
            ),
        ),
        migrations.AlterField(
            model_name="loadoutline",
            name="code",
            field=models.CharField(max_length=90),
        ),
        migrations.AlterField(
            model_name="loadoutline",
            name="place",
            field=models.PositiveSmallIntegerField(
                choices=[
                    (1, "In first: used last"),
                    (2, "In next"),
                    (3, "In last: used first"),
                    (4, "Within reach: spares, still flat"),
                ]
            ),
        ),
        migrations.AddConstraint(
            model_name="billrow",
            constraint=models.CheckConstraint(
                condition=models.Q(("spare__gte", 0), ("spare__lt", models.F("quantity"))),
                name="events_billrow_fewer_spare_than_all",
            ),
        ),
        migrations.AddConstraint(
            model_name="loadoutline",
            constraint=models.CheckConstraint(
                condition=models.Q(("place__in", [1, 2, 3, 4])), name="events_loadoutline_place"
            ),
        ),
        migrations.AddConstraint(
            model_name="loadoutline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("spare_of", ""), models.Q(("code__startswith", "spare:"), _negated=True)),
                    models.Q(
                        models.Q(("spare_of", ""), _negated=True),
                        (
                            "code",
                            django.db.models.functions.text.Concat(
                                models.Value("spare:"), models.F("spare_of")
                            ),
                        ),
                    ),
                    _connector="OR",
                ),
                name="events_loadoutline_spare_by_its_code",
            ),
        ),
    ]
