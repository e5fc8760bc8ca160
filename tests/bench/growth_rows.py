"""Rows for the growth run: copies of a studio's season, further back in time or in another studio.

A copy is made table by table within the database: each key and each reference to something copied is moved by the same
step, moments by as many days, and what must be unique gets a mark. The superuser writes them with triggers off.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import psycopg
from django.apps import apps
from django.db import models
from django.db.models.expressions import BaseExpression
from psycopg import sql

STEP: Final = 10_000_000
"""Keys of one copy lie so far behind those of the one before."""
ROOTS: Final = ("events.Client", "events.Event", "stock.Hold")
"""What happened is what hangs on these; catalogue, people and rates are no part of a season."""
OVER: Final = {
    "events_event.stage": "CASE status WHEN 'CONFIRMED' THEN 'counted_back' ELSE stage END",
    "events_event.status": "CASE status WHEN 'TENTATIVE' THEN 'CANCELLED' ELSE status END",
    "stock_hold.state": "CASE WHEN state IN ('held', 'counted') THEN 'counted' ELSE 'released' END",
    "stock_holdline.standing": "false",
    "quoting_quote.state": "CASE state WHEN 'agreed' THEN state ELSE 'set aside' END",
    "quoting_offer.closed_at": "COALESCE(closed_at, expires_at) - %(days)s * interval '1 day'",
    "quoting_offer.state": "CASE state WHEN 'open' THEN 'lapsed' ELSE state END",
}
"""What lies in the past is over: nothing of it is held, waits for an answer, or is still to come back."""
SHORTEST_MARK: Final = 12
"""A text column with less room than this holds codes, which are no names of their own."""


@dataclass(frozen=True, slots=True)
class Copy:
    """One copy: how many steps away its keys lie, how many days back it is, and in which studio."""

    number: int
    days_back: int
    studio: int


class Seasons:
    """Copies a studio's rows, through one superuser's connection."""

    def __init__(self, admin: psycopg.Connection) -> None:
        self.admin = admin
        admin.execute("SET session_replication_role = replica")

    def add_past(self, studio: int, copies: Iterable[Copy]) -> None:
        """The season once more for each copy, in the same studio."""
        for copy in copies:
            for model in self.of_seasons:
                self._copy(model, studio, copy, self.of_seasons)

    def add_studios(self, studio: int, copies: Iterable[Copy]) -> None:
        """Everything that the studio has once more for each copy, in another studio, which is made."""
        for copy in copies:
            self._make_studio(studio, copy)
            for model in self.every:
                self._copy(model, studio, copy, self.every)

    def settle(self) -> None:
        """As autovacuum would have done long ago."""
        self.admin.commit()
        self.admin.autocommit = True
        self.admin.execute("VACUUM (ANALYZE)")
        self.admin.autocommit = False
        self.admin.execute("SET session_replication_role = replica")

    def count(self, table: str) -> int:
        """How many rows a table has."""
        found = self.admin.execute(
            sql.SQL("SELECT count(*) FROM {}").format(sql.Identifier(table))
        ).fetchone()
        assert found is not None
        return int(found[0])

    # --- Private ---

    @cached_property
    def every(self) -> list[type[models.Model]]:
        """All tables of a studio."""
        from studio.tenancy.models import TenantModel

        return [model for model in apps.get_models() if issubclass(model, TenantModel)]

    @cached_property
    def of_seasons(self) -> list[type[models.Model]]:
        """The tables of what happened."""
        found = [apps.get_model(name) for name in ROOTS]
        while more := [model for model in self.every if model not in found and _references(model, found)]:
            found += more
        return found

    def _make_studio(self, studio: int, copy: Copy) -> None:
        from studio.models import Studio

        made = {"id": "%(made)s", "slug": "'other-' || %(made)s"}
        columns = {_column(field): made.get(_column(field), f'"{field.column}"') for field in _stored(Studio)}
        names = sql.SQL(", ").join(map(sql.Identifier, columns))
        values = sql.SQL(", ").join(map(sql.SQL, columns.values()))
        statement = sql.SQL("INSERT INTO {table} ({names}) SELECT {values} FROM {table} WHERE id = %(of)s")
        table = sql.Identifier(Studio._meta.db_table)
        self.admin.execute(
            statement.format(table=table, names=names, values=values), {"of": studio, "made": copy.studio}
        )

    def _copy(
        self, model: type[models.Model], studio: int, copy: Copy, copied: Iterable[type[models.Model]]
    ) -> None:
        columns = _columns(model, set(copied), elsewhere=copy.studio != studio)
        names = sql.SQL(", ").join(map(sql.Identifier, columns))
        values = sql.SQL(", ").join(map(sql.SQL, columns.values()))
        statement = sql.SQL(
            "INSERT INTO {table} ({names}) SELECT {values} FROM {table} "
            "WHERE studio_id = %(of)s AND id < {step}"
        )
        given = {
            "of": studio,
            "studio": copy.studio,
            "keys": copy.number * STEP,
            "days": copy.days_back,
            "mark": f"~{copy.number}",
        }
        table = sql.Identifier(model._meta.db_table)
        self.admin.execute(
            statement.format(table=table, names=names, values=values, step=sql.Literal(STEP)), given
        )


def _references(model: type[models.Model], others: list[type[models.Model]]) -> bool:
    return any(field.related_model in others for field in _stored(model) if field.is_relation)


def _columns(
    model: type[models.Model], copied: Set[type[models.Model]], *, elsewhere: bool
) -> Mapping[str, str]:
    """Of each column, what the copy has in it. In another studio only what is unique among all of them gets a mark."""
    unique = _marked(model, copied, elsewhere=elsewhere)
    over = {} if elsewhere else OVER
    table = model._meta.db_table
    return {
        _column(field): over.get(f"{table}.{_column(field)}") or _value(field, field.name in unique, copied)
        for field in _stored(model)
    }


def _value(field: models.Field[object, object], is_unique: bool, copied: Set[type[models.Model]]) -> str:
    name = f'"{field.column}"'
    if field.column == "studio_id":
        return "%(studio)s"
    if field.primary_key or (field.is_relation and field.related_model in copied):
        return f"{name} + %(keys)s"
    if isinstance(field, models.UUIDField):
        return "gen_random_uuid()"
    if isinstance(field, models.DateField):
        return f"{name} - %(days)s * interval '1 day'"
    if is_unique and isinstance(field, models.CharField | models.TextField):
        return f"left({name}, {max(1, (field.max_length or 200) - SHORTEST_MARK)}) || %(mark)s::text"
    if is_unique and isinstance(field, models.IntegerField):
        return f"{name} + %(keys)s / {STEP // 1000}"
    return name


def _marked(model: type[models.Model], copied: Set[type[models.Model]], *, elsewhere: bool) -> set[str]:
    """The one column of each uniqueness rule that tells copies apart, where no reference in it does."""
    found: set[str] = set()
    rules = [rule for rule in model._meta.constraints if isinstance(rule, models.UniqueConstraint)]
    alone = [[field.name] for field in _stored(model) if field.unique and not field.primary_key]
    for names in [*map(_names, rules), *alone]:
        fields = [model._meta.get_field(name) for name in names if name != "studio"]
        if elsewhere and "studio" in names:
            continue
        if not any(field.is_relation and field.related_model in copied for field in fields):
            found.update(field.name for field in fields[-1:])
    return found


def _names(rule: models.UniqueConstraint) -> list[str]:
    """The fields of a rule, also of one that is about an expression."""
    names, parts = list(rule.fields), list(rule.expressions)
    while parts:
        part = parts.pop(0)
        if isinstance(part, models.F):
            names.append(vars(part)["name"])
        elif isinstance(part, BaseExpression):
            parts += part.get_source_expressions()
    return names


def _stored(model: type[models.Model]) -> list[models.Field[object, object]]:
    return list(model._meta.concrete_fields)


def _column(field: models.Field[object, object]) -> str:
    assert field.column is not None
    return field.column
