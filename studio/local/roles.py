"""The database's roles and what each may do: one place for the demo, the tests and production.

- `billowbook_owner` owns the database and its tables; used for migrations only.
- `billowbook_app` is what web and worker run as: owns nothing, reads and writes rows.
- `billowbook_backup` reads everything, whatever the row-level policies say, and changes nothing.

None is a superuser, and only the backup role may bypass row-level security. Everything here can be run again
at any time and only mends what differs.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import LiteralString

import psycopg
from psycopg import sql
from psycopg.conninfo import conninfo_to_dict

from studio.local.errors import LocalError

ADMIN = "postgres"
OWNER = "billowbook_owner"
APP = "billowbook_app"
BACKUP = "billowbook_backup"
DATABASE = "billowbook"

ATTRIBUTES: Mapping[str, LiteralString] = {
    OWNER: "NOSUPERUSER NOBYPASSRLS NOCREATEDB NOCREATEROLE NOREPLICATION",
    APP: "NOSUPERUSER NOBYPASSRLS NOCREATEDB NOCREATEROLE NOREPLICATION",
    BACKUP: "NOSUPERUSER BYPASSRLS NOCREATEDB NOCREATEROLE NOREPLICATION",
}


def make_roles(admin_url: str, passwords: Mapping[str, str]) -> None:
    """Make the three roles, or set those that exist to what they should be.

    `passwords` maps the roles' names to their passwords; only a SCRAM verifier of each travels to the server.
    A role that is not named there is made without a password, or keeps the one it has.
    """
    with psycopg.connect(admin_url, autocommit=True) as admin:
        known = {name for (name,) in admin.execute("SELECT rolname FROM pg_roles")}
        for role, attributes in ATTRIBUTES.items():
            admin.execute(
                sql.SQL("{verb} ROLE {role} WITH LOGIN {attributes}").format(
                    verb=sql.SQL("ALTER" if role in known else "CREATE"),
                    role=sql.Identifier(role),
                    attributes=sql.SQL(attributes),
                )
            )
        for role, password in passwords.items():
            verifier = admin.pgconn.encrypt_password(password.encode(), role.encode(), b"scram-sha-256")
            admin.execute(
                sql.SQL("ALTER ROLE {} PASSWORD {}").format(
                    sql.Identifier(role), sql.Literal(verifier.decode())
                )
            )
        admin.execute(sql.SQL("GRANT pg_read_all_data TO {}").format(sql.Identifier(BACKUP)))
        admin.execute(
            sql.SQL("ALTER ROLE {} SET default_transaction_read_only = on").format(sql.Identifier(BACKUP))
        )


def make_from_addresses(admin_url: str, addresses: Iterable[str]) -> None:
    """Make roles and database as the addresses of the roles say: their passwords and their one database.

    Raises LocalError for an address that is no role's of ours, or when they name different databases.
    """
    parts = [conninfo_to_dict(address) for address in addresses]
    strangers = {str(part.get("user")) for part in parts} - set(ATTRIBUTES)
    if strangers:
        raise LocalError(
            f"The database's roles are {', '.join(ATTRIBUTES)}; not {', '.join(sorted(strangers))}."
        )
    databases = {str(part.get("dbname")) for part in parts}
    if len(databases) != 1:
        raise LocalError(f"The addresses name different databases: {', '.join(sorted(databases))}.")
    make_roles(
        admin_url, {str(part["user"]): str(part["password"]) for part in parts if part.get("password")}
    )
    make_database(admin_url, databases.pop())


def make_database(admin_url: str, name: str = DATABASE) -> None:
    """Make the database, owned by the owner, in which the app role may use what the owner will make."""
    with psycopg.connect(admin_url, autocommit=True) as admin:
        # Only a member of a role may give it a database and speak for it; a superuser needs no membership.
        member = admin.execute("SELECT pg_has_role(current_user, %s, 'USAGE')", [OWNER]).fetchone()
        if member != (True,):
            admin.execute(sql.SQL("GRANT {} TO CURRENT_USER").format(sql.Identifier(OWNER)))
        if admin.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone() is None:
            admin.execute(
                sql.SQL("CREATE DATABASE {} OWNER {} ENCODING 'UTF8' TEMPLATE template0").format(
                    sql.Identifier(name), sql.Identifier(OWNER)
                )
            )
    with psycopg.connect(admin_url, dbname=name) as admin:
        for statement in database_grants(name):
            admin.execute(statement)


def database_grants(name: str) -> list[sql.Composed]:
    """What each role may do in that database, as statements for one who may speak for the owner."""
    names = {
        "database": sql.Identifier(name),
        "owner": sql.Identifier(OWNER),
        "app": sql.Identifier(APP),
        "backup": sql.Identifier(BACKUP),
    }
    statements: list[LiteralString] = [
        "REVOKE ALL ON DATABASE {database} FROM PUBLIC",
        "GRANT CONNECT ON DATABASE {database} TO {app}, {backup}",
        "REVOKE ALL ON SCHEMA public FROM PUBLIC",
        "GRANT USAGE ON SCHEMA public TO {app}, {backup}",
        "GRANT USAGE, CREATE ON SCHEMA public TO {owner}",
        (
            "ALTER DEFAULT PRIVILEGES FOR ROLE {owner} IN SCHEMA public "
            "GRANT SELECT, INSERT, UPDATE, DELETE ON TABLES TO {app}"
        ),
        "ALTER DEFAULT PRIVILEGES FOR ROLE {owner} IN SCHEMA public GRANT USAGE ON SEQUENCES TO {app}",
    ]
    return [sql.SQL(statement).format(**names) for statement in statements]
