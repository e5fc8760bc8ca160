"""The test database: made and migrated as production does it, used through the app's own role."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from urllib.parse import urlsplit

import psycopg
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from psycopg import sql
from psycopg.conninfo import conninfo_to_dict

from studio.local import roles
from studio.local.place import CHECKOUT

MIGRATED = "billowbook_migrated"
"""The database that every test database of a run is copied from."""
DEMO = "billowbook_demo"
"""A copy of it with the demo's studios, for the walks over every address and for the journeys."""
KEPT = ("django_migrations", "django_content_type", "auth_permission")
"""Tables that hold what migrations wrote; everything else is emptied after a transactional test."""


def make(name: str) -> None:
    """Make the database ``name`` with every migration, and connect Django to it."""
    connection.close()
    _copy(MIGRATED, name, _migrate)
    connection.settings_dict["NAME"] = name


@contextmanager
def with_demo(name: str) -> Iterator[str]:
    """A database ``name`` with the demo's studios, dropped at the end."""
    _copy(DEMO, name, _load_demo)
    try:
        yield name
    finally:
        drop_database(admin_url(), name)


@contextmanager
def connected_to(name: str) -> Iterator[None]:
    """Django's connection leads to that database meanwhile."""
    usual = connection.settings_dict["NAME"]
    connection.close()
    connection.settings_dict["NAME"] = name
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = usual


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


def _copy(source: str, name: str, write: Callable[[str], None]) -> None:
    """Make ``name`` as a copy of ``source``, which the first process of a run writes for all of them."""
    with psycopg.connect(admin_url(), autocommit=True) as admin:
        # Held until this connection ends: who comes second finds the source.
        admin.execute("SELECT pg_advisory_lock(hashtext(%s))", [source])
        if admin.execute("SELECT 1 FROM pg_database WHERE datname = %s", [source]).fetchone() is None:
            _make_source(admin, source, write)
        drop_database(admin_url(), name)
        admin.execute(
            sql.SQL("CREATE DATABASE {} OWNER {} TEMPLATE {}").format(
                *map(sql.Identifier, (name, roles.OWNER, source))
            )
        )
    # A copy has the tables with what each role may do with them, not the rights to the database itself.
    roles.make_database(admin_url(), name)


def _make_source(admin: psycopg.Connection, source: str, write: Callable[[str], None]) -> None:
    """Write it under another name until it is whole."""
    unfinished = f"{source}_unfinished"
    drop_database(admin_url(), unfinished)
    write(unfinished)
    admin.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", [unfinished])
    admin.execute(
        sql.SQL("ALTER DATABASE {} RENAME TO {}").format(sql.Identifier(unfinished), sql.Identifier(source))
    )


def _migrate(name: str) -> None:
    """Make and migrate a database as the owner."""
    roles.make_database(admin_url(), name)
    connection.settings_dict["NAME"] = name
    with owner_connected():
        call_command("migrate", verbosity=0, interactive=False)


def _load_demo(name: str) -> None:
    """Make a migrated database and load the demo as its command does, in a process of its own."""
    _copy(MIGRATED, name, _migrate)
    environment = {**os.environ, "DATABASE_URL": url_of(name)}
    subprocess.run([sys.executable, "manage.py", "load_demo"], cwd=CHECKOUT, env=environment, check=True)
    with psycopg.connect(admin_url(), dbname=name) as admin:
        # Fifty papers of a season that is over; every journey has its own made.
        admin.execute(
            "UPDATE studio_outboxentry SET due_at = now() + interval '1 day'"
            " WHERE task LIKE 'quoting.render_%' AND done_at IS NULL"
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


def url_of(name: str, role: str = "DATABASE_URL") -> str:
    """The address of that database for a role, by the setting that has the role's own; the app's at first."""
    return urlsplit(os.environ[role])._replace(path=f"/{name}").geturl()


def admin_url() -> str:
    """The superuser's address: tests make databases with it, nothing else."""
    return os.environ["ADMIN_DATABASE_URL"]
