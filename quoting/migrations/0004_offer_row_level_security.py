"""Row-level security on offers and answers; answers are written once."""

from __future__ import annotations


from studio.tenancy.operations import AppendOnly, GuardTenantTable

from studio.tenancy import migrating


class Migration(migrating.Migration):
    """Guards what 0003 made."""

    dependencies = [("quoting", "0003_offer"), ("stock", "0002_row_level_security")]

    operations = [
        GuardTenantTable("offer"),
        GuardTenantTable("answer"),
        AppendOnly("answer"),
        GuardTenantTable("offerevent", references=False),
    ]
