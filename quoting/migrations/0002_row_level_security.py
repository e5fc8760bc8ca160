"""Row-level security on every table of the quoting room."""

from __future__ import annotations


from studio.tenancy.operations import GuardTenantTable

from studio.tenancy import migrating


class Migration(migrating.Migration):
    """Guards what 0001 made."""

    dependencies = [("quoting", "0001_initial"), ("events", "0002_row_level_security")]

    operations = [
        GuardTenantTable("designtemplate"),
        GuardTenantTable("quote"),
        GuardTenantTable("setpiece"),
        GuardTenantTable("freeline"),
        GuardTenantTable("sketchversion"),
        GuardTenantTable("rates"),
        GuardTenantTable("designtemplateevent", references=False),
        GuardTenantTable("quoteevent", references=False),
        GuardTenantTable("freelineevent", references=False),
        GuardTenantTable("ratesevent", references=False),
    ]
