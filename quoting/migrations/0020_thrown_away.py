"""A draft that was deleted can be brought back for some days."""

from django.db import migrations, models

from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("quoting", "0019_drawn_and_kept"),
    ]

    operations = [
        migrations.AddField(
            model_name="tabledraft",
            name="thrown_at",
            field=models.DateTimeField(
                editable=False,
                help_text="When somebody deleted it: it is listed no more, and let go later.",
                null=True,
            ),
        ),
    ]
