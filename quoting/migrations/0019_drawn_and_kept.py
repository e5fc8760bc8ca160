"""A draft keeps the id of its piece after that is taken out, what of it was put in, and its last undo."""

from django.conf import settings
from django.db import migrations, models

from studio.tenancy import migrating

# Rows are hidden from whoever entered no studio, their owner too: that rests for this one fill.
FILL = """
ALTER TABLE quoting_tabledraft NO FORCE ROW LEVEL SECURITY;
UPDATE quoting_tabledraft SET piece_was = piece_id WHERE piece_id IS NOT NULL;
SET CONSTRAINTS ALL IMMEDIATE;
ALTER TABLE quoting_tabledraft FORCE ROW LEVEL SECURITY;
"""


class Migration(migrating.Migration):
    dependencies = [
        ("quoting", "0018_drawing_table"),
        ("studio", "0009_promised_by_words"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="tabledraft",
            name="kept",
            field=models.CharField(
                blank=True,
                default="",
                editable=False,
                help_text="Digest of what is drawn as it was last put into the quote or saved as the design.",
                max_length=64,
            ),
            preserve_default=False,
        ),
        migrations.AddField(
            model_name="tabledraft",
            name="piece_was",
            field=models.BigIntegerField(
                editable=False,
                help_text="Id of that piece: where it was taken out, undo of the quote brings it back under the same one.",
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="tabledraft",
            name="went",
            field=models.CharField(
                blank=True,
                default="",
                editable=False,
                help_text="What the page called the last undo or redo, so that it is made once.",
                max_length=40,
            ),
            preserve_default=False,
        ),
        migrations.RunSQL(FILL, migrations.RunSQL.noop),
        migrations.AddConstraint(
            model_name="tabledraft",
            constraint=models.UniqueConstraint(
                fields=("studio", "piece_was"), name="quoting_tabledraft_piece_was_key"
            ),
        ),
        migrations.AddConstraint(
            model_name="tabledraft",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("piece", None),
                    models.Q(("piece", models.F("piece_was")), ("piece_was__isnull", False)),
                    _connector="OR",
                ),
                name="quoting_tabledraft_piece_was_it",
            ),
        ),
    ]
