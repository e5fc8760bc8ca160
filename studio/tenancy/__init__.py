"""Which studio we act for: the setting that PostgreSQL's row-level security reads.

A studio is *entered* for one transaction only; outside of it no tenant row is visible. Forgetting to enter gives
no rows, never another studio's.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db import connection, transaction

from studio.people.access import Right, Role, may

if TYPE_CHECKING:
    from studio.models import CrewPhone, Person, Studio


class NoStudio(RuntimeError):
    """A tenant row was asked for or made while no studio is entered."""


class NoPerson(RuntimeError):
    """A person was asked for where a phone acts by its link."""


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


@dataclass(frozen=True)
class PageTenant:
    """What templates know of the studio, the person and the role (``request.tenant``)."""

    studio: Studio
    signed_in: Person | None
    """None where a phone acts by its link."""
    role: Role
    phone: CrewPhone | None = None

    @property
    def person(self) -> Person:
        """Who is signed in. A page that phones open by a link doesn't ask: there it raises :class:`NoPerson`."""
        if self.signed_in is None:
            raise NoPerson("A phone acts here by its link; nobody is signed in.")
        return self.signed_in

    def can(self, right: str) -> bool:
        """Whether the person may; ``right`` by its member name (``"SEE_MARGIN"``) or value."""
        return may(self.role, Right[right] if right in Right.__members__ else Right(right))

    @property
    def rights(self) -> dict[str, bool]:
        """Every right by its member name, for templates: ``request.tenant.rights.SEE_MARGIN``."""
        return {right.name: may(self.role, right) for right in Right}


_current: ContextVar[Tenant | None] = ContextVar("billowbook_tenant", default=None)
_row: ContextVar[Studio | None] = ContextVar("billowbook_studio_row", default=None)


def current() -> Tenant:
    """The entered studio; raises :class:`NoStudio` where there is none."""
    tenant = _current.get()
    if tenant is None:
        raise NoStudio("No studio is entered: wrap this in tenancy.entered(studio_id, ...).")
    return tenant


def current_studio_id() -> int:
    """Primary key of the entered studio: the default of every tenant row's ``studio``."""
    return current().studio_id


def studio() -> Studio:
    """The entered studio's profile, to read and not to change; read at most once for each entering."""
    from studio.models import Studio

    row = _row.get()
    if row is None:
        row = Studio.objects.defer("logo").get(pk=current_studio_id())
        _row.set(row)
    return row


@contextmanager
def entered(
    studio_id: int, *, slug: str = "", role: Role = Role.SYSTEM, person_id: int | None = None,
    phone_id: int | None = None, until_transaction_ends: bool = False, row: Studio | None = None,
) -> Iterator[Tenant]:  # fmt: skip
    """Act for one studio inside one transaction; ``until_transaction_ends`` where nothing else follows in it.

    ``row`` is the studio's profile, where it is at hand.
    Entering the same studio again inside is allowed (a savepoint); entering another raises
    :class:`OtherStudio`. Every change made inside is put down in the audit trail to ``person_id`` or
    ``phone_id`` and ``role``.
    """
    outer = _current.get()
    if outer is not None and outer.studio_id != studio_id:
        raise OtherStudio(f"Studio {outer.studio_id} is entered; leave it before entering {studio_id}.")
    nested = connection.in_atomic_block
    with transaction.atomic():
        tenant = Tenant(studio_id, slug or _slug_of(studio_id), role, person_id, phone_id)
        _tell_database(tenant)
        token, row_token = _current.set(tenant), _row.set(row)
        try:
            yield tenant
        finally:
            _row.reset(row_token)
            _current.reset(token)
        # A rollback restores these settings by itself; after a savepoint that succeeds they would stay.
        if nested and not until_transaction_ends and not connection.needs_rollback:
            _tell_database(outer)


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
    from studio.models import Studio

    with transaction.atomic():
        _set("billowbook.roster", "on")
        roster = list(Studio.objects.filter(closed_at=None).order_by("pk").values_list("pk", "slug"))
        _set("billowbook.roster", "")
    return roster


def _slug_of(studio_id: int) -> str:
    from studio.models import Studio

    _set("billowbook.studio", str(studio_id))
    return Studio.objects.values_list("slug", flat=True).filter(pk=studio_id).first() or ""


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
