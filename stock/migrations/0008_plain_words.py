from django.db import migrations, models

from studio.tenancy import migrating


class Migration(migrating.Migration):
    dependencies = [
        ("stock", "0007_handed_on"),
    ]

    operations = [
        migrations.AlterField(
            model_name="alert",
            name="kind",
            field=models.CharField(
                choices=[
                    ("short", "shortages"),
                    ("reorder", "time to reorder"),
                    ("pencil", "tentative holds about to expire"),
                    ("overdue", "returns not counted yet"),
                    ("old", "latex past its best"),
                    ("step", "ledger and stock don’t match"),
                ],
                max_length=7,
            ),
        ),
        migrations.AlterField(
            model_name="alert",
            name="subject",
            field=models.CharField(
                help_text="What the alert is about; at most one open alert for each.", max_length=80
            ),
        ),
        migrations.AlterField(
            model_name="alertchoice",
            name="kind",
            field=models.CharField(
                choices=[
                    ("short", "shortages"),
                    ("reorder", "time to reorder"),
                    ("pencil", "tentative holds about to expire"),
                    ("overdue", "returns not counted yet"),
                    ("old", "latex past its best"),
                    ("step", "ledger and stock don’t match"),
                ],
                max_length=7,
            ),
        ),
        migrations.AlterField(
            model_name="colour",
            name="code",
            field=models.CharField(help_text="Part of item codes, such as latex-11-oat.", max_length=40),
        ),
        migrations.AlterField(
            model_name="colourevent",
            name="code",
            field=models.CharField(help_text="Part of item codes, such as latex-11-oat.", max_length=40),
        ),
        migrations.AlterField(
            model_name="hold",
            name="purpose",
            field=models.CharField(
                choices=[("job", "event"), ("wash", "cleaning"), ("mending", "repair")],
                default="job",
                max_length=7,
            ),
        ),
        migrations.AlterField(
            model_name="hold",
            name="state",
            field=models.CharField(
                choices=[
                    ("pencilled", "tentative"),
                    ("held", "confirmed"),
                    ("released", "released"),
                    ("counted", "returned and counted"),
                ],
                max_length=9,
            ),
        ),
        migrations.AlterField(
            model_name="holdevent",
            name="purpose",
            field=models.CharField(
                choices=[("job", "event"), ("wash", "cleaning"), ("mending", "repair")],
                default="job",
                max_length=7,
            ),
        ),
        migrations.AlterField(
            model_name="holdevent",
            name="state",
            field=models.CharField(
                choices=[
                    ("pencilled", "tentative"),
                    ("held", "confirmed"),
                    ("released", "released"),
                    ("counted", "returned and counted"),
                ],
                max_length=9,
            ),
        ),
        migrations.AlterField(
            model_name="item",
            name="bag_price",
            field=models.DecimalField(
                blank=True, decimal_places=4, max_digits=12, null=True, verbose_name="price per bag"
            ),
        ),
        migrations.AlterField(
            model_name="item",
            name="bag_size",
            field=models.PositiveIntegerField(blank=True, null=True, verbose_name="pieces per bag"),
        ),
        migrations.AlterField(
            model_name="item",
            name="gtin",
            field=models.CharField(
                blank=True,
                help_text="GTIN-8, 12, 13 or 14, digits only.",
                max_length=14,
                verbose_name="barcode number",
            ),
        ),
        migrations.AlterField(
            model_name="item",
            name="kind",
            field=models.CharField(
                choices=[
                    ("latex", "latex round"),
                    ("260", "260 (twisting)"),
                    ("frame", "frame"),
                    ("cover", "cover"),
                    ("floral", "floral"),
                    ("sign", "sign"),
                    ("hardware", "hardware"),
                    ("tool", "tool"),
                ],
                max_length=8,
            ),
        ),
        migrations.AlterField(
            model_name="item",
            name="reorder_at",
            field=models.PositiveIntegerField(
                blank=True,
                help_text="If empty, it is computed from past use.",
                null=True,
                verbose_name="reorder at",
            ),
        ),
        migrations.AlterField(
            model_name="item",
            name="turnaround_hours",
            field=models.PositiveSmallIntegerField(
                default=0,
                help_text="From its return until it can go out again.",
                verbose_name="cleaning time in hours",
            ),
        ),
        migrations.AlterField(
            model_name="itemevent",
            name="bag_price",
            field=models.DecimalField(
                blank=True, decimal_places=4, max_digits=12, null=True, verbose_name="price per bag"
            ),
        ),
        migrations.AlterField(
            model_name="itemevent",
            name="bag_size",
            field=models.PositiveIntegerField(blank=True, null=True, verbose_name="pieces per bag"),
        ),
        migrations.AlterField(
            model_name="itemevent",
            name="gtin",
            field=models.CharField(
                blank=True,
                help_text="GTIN-8, 12, 13 or 14, digits only.",
                max_length=14,
                verbose_name="barcode number",
            ),
        ),
        migrations.AlterField(
            model_name="itemevent",
            name="kind",
            field=models.CharField(
                choices=[
                    ("latex", "latex round"),
                    ("260", "260 (twisting)"),
                    ("frame", "frame"),
                    ("cover", "cover"),
                    ("floral", "floral"),
                    ("sign", "sign"),
                    ("hardware", "hardware"),
                    ("tool", "tool"),
                ],
                max_length=8,
            ),
        ),
        migrations.AlterField(
            model_name="itemevent",
            name="reorder_at",
            field=models.PositiveIntegerField(
                blank=True,
                help_text="If empty, it is computed from past use.",
                null=True,
                verbose_name="reorder at",
            ),
        ),
        migrations.AlterField(
            model_name="itemevent",
            name="turnaround_hours",
            field=models.PositiveSmallIntegerField(
                default=0,
                help_text="From its return until it can go out again.",
                verbose_name="cleaning time in hours",
            ),
        ),
        migrations.AlterField(
            model_name="keptanswer",
            name="fingerprint",
            field=models.CharField(help_text="SHA-256 of the request.", max_length=64),
        ),
        migrations.AlterField(
            model_name="movement",
            name="batch",
            field=models.CharField(
                blank=True,
                help_text="The batch number on the bags that came in, if it was recorded.",
                max_length=40,
            ),
        ),
        migrations.AlterField(
            model_name="movement",
            name="kind",
            field=models.CharField(
                choices=[
                    ("opening", "opening stock"),
                    ("received", "received"),
                    ("used", "used"),
                    ("counted", "counted"),
                    ("broken", "broken"),
                    ("lost", "lost"),
                    ("returned", "returned unused"),
                    ("moved", "moved"),
                    ("sent back", "sent back to the supplier"),
                ],
                max_length=9,
            ),
        ),
        migrations.AlterField(
            model_name="movement",
            name="label",
            field=models.CharField(
                blank=True, help_text="What the movement was for, such as an event's title.", max_length=160
            ),
        ),
        migrations.AlterField(
            model_name="piece",
            name="note",
            field=models.CharField(blank=True, max_length=160, verbose_name="note"),
        ),
        migrations.AlterField(
            model_name="pieceevent",
            name="note",
            field=models.CharField(blank=True, max_length=160, verbose_name="note"),
        ),
        migrations.AlterField(
            model_name="purchaseorder",
            name="state",
            field=models.CharField(
                choices=[
                    ("draft", "draft"),
                    ("sent", "ordered"),
                    ("closed", "completed"),
                    ("off", "cancelled"),
                ],
                default="draft",
                max_length=6,
            ),
        ),
        migrations.AlterField(
            model_name="purchaseorderevent",
            name="state",
            field=models.CharField(
                choices=[
                    ("draft", "draft"),
                    ("sent", "ordered"),
                    ("closed", "completed"),
                    ("off", "cancelled"),
                ],
                default="draft",
                max_length=6,
            ),
        ),
        migrations.AlterField(
            model_name="shelfrules",
            name="latex_life_days",
            field=models.PositiveSmallIntegerField(default=365, verbose_name="shelf life of latex, days"),
        ),
        migrations.AlterField(
            model_name="shelfrules",
            name="look_back_weeks",
            field=models.PositiveSmallIntegerField(
                default=26, verbose_name="weeks of past use for the forecast"
            ),
        ),
        migrations.AlterField(
            model_name="shelfrules",
            name="never_short_percent",
            field=models.DecimalField(
                decimal_places=1, default=95, max_digits=4, verbose_name="service level, %"
            ),
        ),
        migrations.AlterField(
            model_name="shelfrulesevent",
            name="latex_life_days",
            field=models.PositiveSmallIntegerField(default=365, verbose_name="shelf life of latex, days"),
        ),
        migrations.AlterField(
            model_name="shelfrulesevent",
            name="look_back_weeks",
            field=models.PositiveSmallIntegerField(
                default=26, verbose_name="weeks of past use for the forecast"
            ),
        ),
        migrations.AlterField(
            model_name="shelfrulesevent",
            name="never_short_percent",
            field=models.DecimalField(
                decimal_places=1, default=95, max_digits=4, verbose_name="service level, %"
            ),
        ),
        migrations.AlterField(
            model_name="supplier",
            name="customer_number",
            field=models.CharField(blank=True, max_length=40, verbose_name="our customer number"),
        ),
        migrations.AlterField(
            model_name="supplier",
            name="delivery_charge",
            field=models.DecimalField(
                decimal_places=4,
                default=0,
                help_text="Per order.",
                max_digits=12,
                verbose_name="delivery charge",
            ),
        ),
        migrations.AlterField(
            model_name="supplier",
            name="lead_days",
            field=models.PositiveSmallIntegerField(
                default=5, help_text="Calendar days.", verbose_name="delivery time in days"
            ),
        ),
        migrations.AlterField(
            model_name="supplier",
            name="lead_spread_days",
            field=models.DecimalField(
                decimal_places=1,
                default=0,
                help_text="Standard deviation of those days.",
                max_digits=4,
                verbose_name="varies by",
            ),
        ),
        migrations.AlterField(
            model_name="supplier",
            name="minimum_order",
            field=models.DecimalField(
                blank=True, decimal_places=4, max_digits=12, null=True, verbose_name="minimum order"
            ),
        ),
        migrations.AlterField(
            model_name="supplierevent",
            name="customer_number",
            field=models.CharField(blank=True, max_length=40, verbose_name="our customer number"),
        ),
        migrations.AlterField(
            model_name="supplierevent",
            name="delivery_charge",
            field=models.DecimalField(
                decimal_places=4,
                default=0,
                help_text="Per order.",
                max_digits=12,
                verbose_name="delivery charge",
            ),
        ),
        migrations.AlterField(
            model_name="supplierevent",
            name="lead_days",
            field=models.PositiveSmallIntegerField(
                default=5, help_text="Calendar days.", verbose_name="delivery time in days"
            ),
        ),
        migrations.AlterField(
            model_name="supplierevent",
            name="lead_spread_days",
            field=models.DecimalField(
                decimal_places=1,
                default=0,
                help_text="Standard deviation of those days.",
                max_digits=4,
                verbose_name="varies by",
            ),
        ),
        migrations.AlterField(
            model_name="supplierevent",
            name="minimum_order",
            field=models.DecimalField(
                blank=True, decimal_places=4, max_digits=12, null=True, verbose_name="minimum order"
            ),
        ),
        migrations.AlterField(
            model_name="supplierprice",
            name="bag_size",
            field=models.PositiveIntegerField(default=1, verbose_name="pieces per bag"),
        ),
        migrations.AlterField(
            model_name="supplierprice",
            name="from_bags",
            field=models.PositiveIntegerField(default=1, verbose_name="minimum bags"),
        ),
        migrations.AlterField(
            model_name="supplierprice",
            name="price",
            field=models.DecimalField(decimal_places=4, max_digits=12, verbose_name="price per bag"),
        ),
        migrations.AlterField(
            model_name="supplierprice",
            name="their_code",
            field=models.CharField(blank=True, max_length=60, verbose_name="their code"),
        ),
        migrations.AlterField(
            model_name="supplierpriceevent",
            name="bag_size",
            field=models.PositiveIntegerField(default=1, verbose_name="pieces per bag"),
        ),
        migrations.AlterField(
            model_name="supplierpriceevent",
            name="from_bags",
            field=models.PositiveIntegerField(default=1, verbose_name="minimum bags"),
        ),
        migrations.AlterField(
            model_name="supplierpriceevent",
            name="price",
            field=models.DecimalField(decimal_places=4, max_digits=12, verbose_name="price per bag"),
        ),
        migrations.AlterField(
            model_name="supplierpriceevent",
            name="their_code",
            field=models.CharField(blank=True, max_length=60, verbose_name="their code"),
        ),
    ]
