"""What may be read without a studio (own memberships, the roster, a shown link) can't be read inside one."""

from __future__ import annotations

from typing import Final

from django.db import migrations

from studio.tenancy import migrating
from studio.tenancy.operations import THIS_PERSON, while_no_studio_is_entered

ROSTER: Final = "current_setting('billowbook.roster', true) = 'on'"
MY_STUDIOS: Final = (
    "EXISTS (SELECT FROM studio_membership m"
    f" WHERE m.studio_id = studio_studio.id AND m.person_id = {THIS_PERSON})"
)
READ_ALSO: Final = {
    "studio_membership": f"person_id = {THIS_PERSON}",
    "studio_studio": f"{ROSTER} OR {MY_STUDIOS}",
    "studio_publiclink": "token_hash = nullif(current_setting('billowbook.token', true), '')",
}


def altered(table: str, condition: str) -> migrations.RunSQL:
    """The policy's condition replaced, and put back as it was."""
    alter = f'ALTER POLICY read_also ON "{table}" USING'
    return migrations.RunSQL(f"{alter} ({while_no_studio_is_entered(condition)})", f"{alter} ({condition})")


class Migration(migrating.Migration):
    """For databases whose policies were made before they were narrowed; new ones have them so already."""

    dependencies = [("studio", "0006_crew_phones")]

    operations = [altered(table, condition) for table, condition in READ_ALSO.items()]
