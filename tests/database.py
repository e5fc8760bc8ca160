"""The test database: made and migrated as production does it, used through the app's own role."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeVar

import psycopg
from django.conf import settings
from django.core.management import call_command
from django.db import connection, transaction
from psycopg import sql
from psycopg.conninfo import conninfo_to_dict

from studio.local import roles

Made = TypeVar("Made")

KEPT = ("django_migrations", "django_content_type", "auth_permission")
"""Tables that hold what migrations wrote; everything else is emptied after a transactional test."""


def make(name: str) -> None:
    """Make the database ``name`` and bring it up to date as the owner; then be the app again."""
    drop_database(admin_url(), name)
    roles.make_database(admin_url(), name)
    connection.close()
    connection.settings_dict["NAME"] = name
    with owner_connected():
        call_command("migrate", verbosity=0, interactive=False)


def drop(name: str) -> None:
    """Drop it, with every connection to it."""
    connection.close()
    drop_database(admin_url(), name)


def drop_database(server: str, name: str) -> None:
    """Drop a database of that server, with every connection to it."""
    with psycopg.connect(server, autocommit=True) as admin:
        admin.execute(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name)))


@contextmanager
def owner_connected() -> Iterator[None]:
    """Django's connection as the migration owner's."""
    owner = conninfo_to_dict(os.environ["OWNER_DATABASE_URL"])
    app = {key: connection.settings_dict[key] for key in ("USER", "PASSWORD")}
    connection.close()
    connection.settings_dict.update(USER=str(owner["user"]), PASSWORD=str(owner.get("password", "")))
    settings.AS_OWNER = True
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict.update(app)
        settings.AS_OWNER = False


@contextmanager
def kept_for_a_module(write: Callable[[], Made]) -> Iterator[Made]:
    """What ``write`` writes stands in the database for several tests; afterwards every table is empty.

    Each test still takes back what it does itself. Nothing is handed to a worker.
    """
    with transaction.atomic():
        made = write()
        connection.run_on_commit.clear()
    try:
        yield made
    finally:
        connection.close()
        empty()


def empty() -> None:
    """Empty every table: as the superuser and with triggers off, since ledgers refuse anybody else."""
    with psycopg.connect(admin_url(), dbname=str(connection.settings_dict["NAME"])) as admin:
        admin.execute("SET session_replication_role = replica")
        tables = admin.execute(
            "SELECT format('%%I', tablename) FROM pg_tables WHERE schemaname = 'public' AND tablename <> ALL(%s)",
            [list(KEPT)],
        ).fetchall()
        admin.execute(f"TRUNCATE {', '.join(name for (name,) in tables)} CASCADE")


def admin_url() -> str:
    """The superuser's address: tests make databases with it, nothing else."""
    return os.environ["ADMIN_DATABASE_URL"]
