"""Refuses to serve through a database role that could get around row-level security."""

from __future__ import annotations

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.db import DEFAULT_DB_ALIAS, connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.signals import connection_created
from django.dispatch import receiver

_QUESTION = """
    SELECT rolsuper, rolbypassrls,
           EXISTS (SELECT FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
                   WHERE n.nspname = 'public' AND c.relkind = 'r' AND pg_has_role(current_user, c.relowner, 'USAGE'))
    FROM pg_roles WHERE rolname = current_user
"""
_found_safe: set[tuple[str, str]] = set()


class UnsafeRole(ImproperlyConfigured):
    """The database role is a superuser, bypasses row-level security, or owns tables."""


@receiver(connection_created)
def refuse_unsafe_role(sender: object, connection: BaseDatabaseWrapper, **kwargs: object) -> None:
    """Look at each role once, when a process first connects with it."""
    role = (connection.settings_dict["NAME"], connection.settings_dict["USER"])
    if settings.AS_OWNER or connection.alias != DEFAULT_DB_ALIAS or role in _found_safe:
        return
    with connection.connection.cursor() as cursor:
        superuser, bypasses, owns = cursor.execute(_QUESTION).fetchone()
    faults = [
        words
        for fault, words in (
            (superuser, "is a superuser"),
            (bypasses, "has BYPASSRLS"),
            (owns, "owns tables"),
        )
        if fault
    ]
    if faults:
        connections[connection.alias].close()
        raise UnsafeRole(
            f"The database role {role[1]!r} {' and '.join(faults)}, so row-level security would not hold for it. "
            "Serve as the app's role (README.md, “Run it for real”); for `migrate` set BILLOWBOOK_AS_OWNER=1."
        )
    _found_safe.add(role)
