"""A link may let a client look along."""

from __future__ import annotations

from typing import ClassVar

from django.db import migrations, models

from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies: ClassVar = [("studio", "0004_links_for_calls_and_feeds")]

    operations: ClassVar = [
        migrations.AlterField(
            model_name="publiclink",
            name="purpose",
            field=models.CharField(
                choices=[
                    ("invitation", "joining the studio"),
                    ("offer", "an offer to a client"),
                    ("crew call", "one event, for crew"),
                    ("call", "saying yes or no to a call"),
                    ("feed", "a calendar feed"),
                    ("look along", "a sketch, while it is being talked about"),
                ],
                max_length=12,
            ),
        ),
    ]
