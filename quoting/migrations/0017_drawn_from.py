"""A piece of a quote keeps which design it was drawn from."""

import django.db.models.deletion
import studio.tenancy.models
from django.db import migrations

from studio.tenancy import migrating
from studio.tenancy.operations import GuardReference


class Migration(migrating.Migration):
    dependencies = [
        ("quoting", "0016_room_scene"),
    ]

    operations = [
        migrations.AddField(
            model_name="setpiece",
            name="drawn_from",
            field=studio.tenancy.models.TenantForeignKey(
                db_constraint=False,
                editable=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="pieces",
                to="quoting.designtemplate",
            ),
        ),
        GuardReference("setpiece", "drawn_from"),
    ]
