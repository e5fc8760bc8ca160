"""Row-level security on the tables of the events room; logs and ticks closed to change."""

from __future__ import annotations


from studio.tenancy.operations import AppendOnly, GuardTenantTable

from studio.tenancy import migrating


class Migration(migrating.Migration):
    """Guards what 0001 made."""

    dependencies = [
        ("events", "0001_initial"),
        ("stock", "0002_row_level_security"),
        ("studio", "0002_row_level_security"),
    ]

    operations = [
        GuardTenantTable("client"),
        GuardTenantTable("venue"),
        GuardTenantTable("event"),
        GuardTenantTable("stagereached"),
        GuardTenantTable("logentry"),
        GuardTenantTable("billrow"),
        GuardTenantTable("workrow"),
        GuardTenantTable("loadoutline"),
        GuardTenantTable("tick"),
        GuardTenantTable("clientevent", references=False),
        GuardTenantTable("venueevent", references=False),
        GuardTenantTable("eventevent", references=False),
        AppendOnly("stagereached"),
        AppendOnly("logentry"),
        AppendOnly("tick"),
    ]
