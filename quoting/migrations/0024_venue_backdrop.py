"""A still before a photo of the venue: a fourth choice, and the photo with its marks."""

from django.conf import settings
from django.db import migrations, models

from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("quoting", "0023_before_sending"),
        ("studio", "0011_usual_uses"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="still",
            name="quoting_still_room",
        ),
        migrations.AddField(
            model_name="still",
            name="backdrop",
            field=models.JSONField(
                editable=False,
                help_text="The venue's photo and its marks: see quoting.stills.venue.",
                null=True,
            ),
        ),
        migrations.AlterField(
            model_name="setpiece",
            name="still_room",
            field=models.CharField(
                choices=[
                    ("studio", "Plain studio"),
                    ("hall", "Hall"),
                    ("garden", "Garden at evening"),
                    ("venue", "Your venue’s photo"),
                ],
                default="studio",
                max_length=8,
            ),
        ),
        migrations.AlterField(
            model_name="still",
            name="key",
            field=models.CharField(
                editable=False,
                help_text="Digest of the design, the room or photo, and the angle.",
                max_length=64,
            ),
        ),
        migrations.AlterField(
            model_name="still",
            name="room",
            field=models.CharField(
                choices=[
                    ("studio", "Plain studio"),
                    ("hall", "Hall"),
                    ("garden", "Garden at evening"),
                    ("venue", "Your venue’s photo"),
                ],
                max_length=8,
            ),
        ),
        migrations.AddConstraint(
            model_name="still",
            constraint=models.CheckConstraint(
                condition=models.Q(("room__in", ["studio", "hall", "garden", "venue"])),
                name="quoting_still_room",
            ),
        ),
        migrations.AddConstraint(
            model_name="still",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("backdrop__isnull", False), ("room", "venue")),
                    models.Q(models.Q(("room", "venue"), _negated=True), ("backdrop__isnull", True)),
                    _connector="OR",
                ),
                name="quoting_still_venue_has_backdrop",
            ),
        ),
    ]
