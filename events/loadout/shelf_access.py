"""Reading the shelf for somebody who may not see it: a client who agrees, or crew who load."""

from __future__ import annotations

from contextlib import AbstractContextManager

from studio import tenancy
from studio.tenancy.rights import Role


def as_studio() -> AbstractContextManager[tenancy.Tenant]:
    """Act as the studio itself."""
    tenant = tenancy.current()
    return tenancy.entered(tenant.studio_id, slug=tenant.slug, role=Role.SYSTEM, person_id=tenant.person_id)
