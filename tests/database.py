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

MIGRATED = "billowbook_migrated"
"""The database that every test database of a run is copied from."""
KEPT = ("django_migrations", "django_content_type", "auth_permission")
"""Tables that hold what migrations wrote; everything else is emptied after a transactional test."""


def make(name: str) -> None:
    """Make the database ``name`` with every migration, which the first process of a run applies for all of them."""
    drop_database(admin_url(), name)
    connection.close()
    with psycopg.connect(admin_url(), autocommit=True) as admin:
        # Held until this connection ends: who comes second finds the migrated database.
        admin.execute("SELECT pg_advisory_lock(hashtext(%s))", [MIGRATED])
        if admin.execute("SELECT 1 FROM pg_database WHERE datname = %s", [MIGRATED]).fetchone() is None:
            _migrate(MIGRATED)
        admin.execute(
            sql.SQL("CREATE DATABASE {} OWNER {} TEMPLATE {}").format(
                *map(sql.Identifier, (name, roles.OWNER, MIGRATED))
            )
        )
    # A copy has the tables with what each role may do with them, not the rights to the database itself.
    roles.make_database(admin_url(), name)
    connection.settings_dict["NAME"] = name


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


def _migrate(name: str) -> None:
    """Make and migrate a database as the owner, under another name until it is whole."""
    unfinished = f"{name}_unfinished"
    drop_database(admin_url(), unfinished)
    roles.make_database(admin_url(), unfinished)
    connection.settings_dict["NAME"] = unfinished
    with owner_connected():
        call_command("migrate", verbosity=0, interactive=False)
    with psycopg.connect(admin_url(), autocommit=True) as admin:
        admin.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", [unfinished]
        )
        admin.execute(
            sql.SQL("ALTER DATABASE {} RENAME TO {}").format(sql.Identifier(unfinished), sql.Identifier(name))
        )


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
