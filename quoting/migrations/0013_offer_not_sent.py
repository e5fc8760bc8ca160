from django.db import migrations, models

from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("quoting", "0012_service_level"),
    ]

    operations = [
        migrations.AddField(
            model_name="offer",
            name="mail_stopped_at",
            field=models.DateTimeField(
                help_text="When its e-mail was stopped because the pieces aren't on hold; empty once it is sent.",
                null=True,
            ),
        ),
    ]
