"""Row-level security on invoices, payments and reminders; reminders are written once."""

from __future__ import annotations


from studio.tenancy.operations import AppendOnly, GuardTenantTable

from studio.tenancy import migrating


class Migration(migrating.Migration):
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
