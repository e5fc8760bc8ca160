"""The check that domain functions make, so that a rule holds whoever calls: a page, the worker, a command."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied

from studio import tenancy
from studio.tenancy.rights import Right, may


def require(right: Right) -> None:
    """Refuse with :class:`PermissionDenied` unless whoever acts in the entered studio has ``right``."""
    tenant = tenancy.current()
    if not may(tenant.role, right):
        raise PermissionDenied(f"Your role in this studio ({tenant.role}) doesn't allow you to {right}.")
