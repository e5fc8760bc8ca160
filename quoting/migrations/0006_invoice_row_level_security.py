"""Row-level security on invoices, payments and reminders; reminders are written once."""

from __future__ import annotations

from django.db import migrations

from studio.tenancy.operations import AppendOnly, GuardTenantTable


class Migration(migrations.Migration):
    """Guards what 0005 made."""

    dependencies = [("quoting", "0005_invoices")]

    operations = [
        GuardTenantTable("numberseries"),
        GuardTenantTable("invoice"),
        GuardTenantTable("payment"),
        GuardTenantTable("reminder"),
        AppendOnly("reminder"),
        GuardTenantTable("invoiceevent", references=False),
        GuardTenantTable("paymentevent", references=False),
    ]
