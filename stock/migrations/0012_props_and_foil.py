"""Props and foil balloons are kinds of items, and have an outline as frames do."""

from django.db import migrations, models

from studio.tenancy import migrating

KINDS = [
    ("latex", "latex round"),
    ("260", "260 (twisting)"),
    ("frame", "frame"),
    ("cover", "cover"),
    ("floral", "floral"),
    ("sign", "sign"),
    ("prop", "prop"),
    ("foil", "foil balloon"),
    ("hardware", "hardware"),
    ("tool", "tool"),
]
OUTLINE = "The shape of a frame, prop or foil balloon, in metres."


def _kind() -> models.Field:
    return models.CharField(choices=KINDS, max_length=8)


def _outline() -> models.Field:
    return models.JSONField(blank=True, editable=False, help_text=OUTLINE, null=True)


class Migration(migrating.Migration):
    dependencies = [
        ("stock", "0011_tentative"),
    ]

    operations = [
        migrations.RemoveConstraint(model_name="item", name="stock_item_kind"),
        migrations.AlterField(model_name="item", name="kind", field=_kind()),
        migrations.AlterField(model_name="item", name="outline", field=_outline()),
        migrations.AlterField(model_name="itemevent", name="kind", field=_kind()),
        migrations.AlterField(model_name="itemevent", name="outline", field=_outline()),
        migrations.AddConstraint(
            model_name="item",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", [kind for kind, _ in KINDS])), name="stock_item_kind"
            ),
        ),
    ]
