"""Row-level security on every table of the kernel, and the function by which ledgers refuse change."""

from __future__ import annotations

from django.db import migrations

from studio.tenancy import migrating
from studio.tenancy.operations import REFUSE_CHANGE_SQL, THIS_PERSON, GuardTenantTable

ROSTER = "current_setting('billowbook.roster', true) = 'on'"
MY_STUDIOS = (
    "EXISTS (SELECT FROM studio_membership m"
    f" WHERE m.studio_id = studio_studio.id AND m.person_id = {THIS_PERSON})"
)
SHOWN_TOKEN = "token_hash = nullif(current_setting('billowbook.token', true), '')"


class Migration(migrating.Migration):
    """Guards what 0001 made."""

    dependencies = [("studio", "0001_initial"), ("pghistory", "0007_auto_20250421_0444")]

    operations = [
        migrations.RunSQL(REFUSE_CHANGE_SQL, "DROP FUNCTION billowbook_refuse_change()"),
        GuardTenantTable("membership", read_also=f"person_id = {THIS_PERSON}"),
        GuardTenantTable("studio", tenant_column="id", read_also=f"{ROSTER} OR {MY_STUDIOS}"),
        GuardTenantTable("publiclink", read_also=SHOWN_TOKEN),
        GuardTenantTable("invitation"),
        GuardTenantTable("taxrate"),
        GuardTenantTable("storedfile"),
        GuardTenantTable("outboxentry"),
        GuardTenantTable("studioevent", tenant_column="pgh_obj_id"),
        GuardTenantTable("membershipevent", references=False),
        GuardTenantTable("invitationevent", references=False),
        GuardTenantTable("taxrateevent", references=False),
        # The audit trail's own context table stays empty (the context stands in each entry): nobody reads it.
        migrations.RunSQL(
            "ALTER TABLE pghistory_context ENABLE ROW LEVEL SECURITY;"
            "ALTER TABLE pghistory_context FORCE ROW LEVEL SECURITY",
            "ALTER TABLE pghistory_context DISABLE ROW LEVEL SECURITY",
        ),
    ]
