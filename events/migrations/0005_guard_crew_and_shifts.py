"""Row-level security on the tables of crew, vans, rules and shifts."""

from __future__ import annotations

from django.db import migrations

from studio.tenancy.operations import GuardTenantTable


class Migration(migrations.Migration):
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
