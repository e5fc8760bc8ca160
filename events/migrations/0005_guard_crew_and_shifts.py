"""Row-level security on the tables of crew, vans, rules and shifts."""

from __future__ import annotations


from studio.tenancy.operations import GuardTenantTable

from studio.tenancy import migrating


class Migration(migrating.Migration):
    """Guards what 0003 made."""

    dependencies = [("events", "0004_crew_and_shifts")]

    operations = [
        GuardTenantTable("crewmember"),
        GuardTenantTable("dayoff"),
        GuardTenantTable("van"),
        GuardTenantTable("workrules"),
        GuardTenantTable("shift"),
        GuardTenantTable("crewcall"),
        GuardTenantTable("crewmemberevent", references=False),
        GuardTenantTable("vanevent", references=False),
        GuardTenantTable("workrulesevent", references=False),
        GuardTenantTable("shiftevent", references=False),
        GuardTenantTable("crewcallevent", references=False),
    ]
