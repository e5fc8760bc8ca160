"""Reading the shelf for somebody who may not see it: a client who agrees, or crew who load."""

from __future__ import annotations

from contextlib import AbstractContextManager

from studio import tenancy
from studio.tenancy.rights import Role


def as_studio() -> AbstractContextManager[None]:
    """Read as the studio itself."""
    return tenancy.reading_as(Role.SYSTEM)
