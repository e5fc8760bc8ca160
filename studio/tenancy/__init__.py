"""Which studio we act for: the setting that PostgreSQL's row-level security reads.

A studio is *entered* for one transaction only; outside of it no tenant row is visible. Forgetting to enter gives
no rows, never another studio's.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace

from django.db import connection, transaction

from studio.tenancy.rights import Role


class NoStudio(RuntimeError):
    """A tenant row was asked for or made while no studio is entered."""


class OtherStudio(RuntimeError):
    """A second studio was about to be entered inside the first."""


@dataclass(frozen=True)
class Tenant:
    """The studio that is entered, and who acts in it."""

    studio_id: int
    slug: str
    role: Role
    person_id: int | None
    phone_id: int | None = None
    """The crew's phone that acts by a link, where no person is signed in."""


_current: ContextVar[Tenant | None] = ContextVar("billowbook_tenant", default=None)


def current() -> Tenant:
    """The entered studio; raises :class:`NoStudio` where there is none."""
    tenant = _current.get()
    if tenant is None:
        raise NoStudio("No studio is entered: wrap this in tenancy.entered(studio_id, ...).")
    return tenant


def is_entered() -> bool:
    """Whether a studio is entered."""
    return _current.get() is not None


def current_studio_id() -> int:
    """Primary key of the entered studio: the default of every tenant row's ``studio``."""
    return current().studio_id


@contextmanager
def entered(
    studio_id: int, *, slug: str = "", role: Role = Role.SYSTEM, person_id: int | None = None,
    phone_id: int | None = None, until_transaction_ends: bool = False,
) -> Iterator[Tenant]:  # fmt: skip
    """Act for one studio inside one transaction; ``until_transaction_ends`` where nothing else follows in it.

    Entering the same studio again inside is allowed (a savepoint); entering another raises
    :class:`OtherStudio`. Every change made inside is put down in the audit trail to ``person_id`` or
    ``phone_id`` and ``role``.
    """
    outer = _current.get()
    if outer is not None and outer.studio_id != studio_id:
        raise OtherStudio(f"Studio {outer.studio_id} is entered; leave it before entering {studio_id}.")
    nested = connection.in_atomic_block
    with transaction.atomic(savepoint=not until_transaction_ends):
        tenant = Tenant(studio_id, slug or _slug_of(studio_id), role, person_id, phone_id)
        _tell_database(tenant)
        token = _current.set(tenant)
        try:
            yield tenant
        finally:
            _current.reset(token)
        # A rollback restores these settings by itself; after a savepoint that succeeds they would stay.
        if nested and not until_transaction_ends and not connection.needs_rollback:
            _tell_database(outer)


@contextmanager
def reading_as(role: Role) -> Iterator[None]:
    """Read what ``role`` may read in the entered studio. The database hears nothing of it: whatever changes is still
    put down to whoever acts."""
    token = _current.set(replace(current(), role=role))
    try:
        yield
    finally:
        _current.reset(token)


@contextmanager
def as_person(person_id: int) -> Iterator[None]:
    """A transaction in which a person's own memberships, and the studios behind them, can be read."""
    nested = connection.in_atomic_block
    with transaction.atomic():
        _set("billowbook.person", str(person_id))
        yield
        if nested:
            _set("billowbook.person", "")


def each_studio() -> list[tuple[int, str]]:
    """Primary key and slug of every studio, for the worker's sweeps; opens no tenant row."""
    with transaction.atomic(), connection.cursor() as cursor:
        _set("billowbook.roster", "on")
        cursor.execute("SELECT id, slug FROM studio_studio WHERE closed_at IS NULL ORDER BY id")
        roster: list[tuple[int, str]] = cursor.fetchall()
        _set("billowbook.roster", "")
    return roster


def _slug_of(studio_id: int) -> str:
    _set("billowbook.studio", str(studio_id))
    with connection.cursor() as cursor:
        cursor.execute("SELECT slug FROM studio_studio WHERE id = %s", [studio_id])
        found = cursor.fetchone()
    return found[0] if found else ""


def _set(name: str, value: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT set_config(%s, %s, true)", [name, value])


def _audit_context(tenant: Tenant) -> str:
    who: dict[str, object] = {"person": tenant.person_id, "role": tenant.role}
    return json.dumps(who | {"phone": tenant.phone_id} if tenant.phone_id else who)


def _tell_database(tenant: Tenant | None) -> None:
    """Set studio and audit context for the rest of this transaction in one round trip; a person's own view ends."""
    studio = str(tenant.studio_id) if tenant else ""
    context = _audit_context(tenant) if tenant else ""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT set_config('billowbook.studio', %s, true), set_config('billowbook.person', '', true),"
            " set_config('pghistory.context_metadata', %s, true)",
            [studio, context],
        )
