"""Queries that every change of a page asks again: written as querysets, turned into SQL once for the process.

Django writes a queryset's SQL anew whenever it is asked, which takes longer than PostgreSQL takes to answer. What is
kept is the statement, never an answer.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import copy
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Generic, TypeVar

from django.db import DEFAULT_DB_ALIAS, connections, models
from django.db.backends.postgresql.compiler import SQLCompiler
from django.db.models import Expression, QuerySet
from django.db.models.sql import Query

Row = TypeVar("Row")


class Given(Expression):
    """Stands in a kept query for a value that is said by its name whenever the query is asked."""

    def __init__(self, name: str, output_field: models.Field[object, object] | None = None) -> None:
        super().__init__(output_field=output_field)
        self.name = name

    def as_sql(self, compiler: object, connection: object) -> tuple[str, tuple[Any, ...]]:
        """A place for the value."""
        return "%s", (_Place(self.name),)


class GivenMany(Given):
    """The same for a list, after ``__in``; ``kind`` is its type in PostgreSQL, as ``bigint``."""

    def __init__(self, name: str, kind: str) -> None:
        super().__init__(name)
        self.kind = kind

    def as_sql(self, compiler: object, connection: object) -> tuple[str, tuple[Any, ...]]:
        """A place for the list, whose length doesn't change the statement."""
        return f"(SELECT unnest(%s::{self.kind}[]))", (_Place(self.name),)


class KeptQuery(Generic[Row]):
    """A queryset with places for what differs from one time to the next."""

    def __init__(self, written: Callable[[], QuerySet[models.Model, Row]]) -> None:
        self._written = written

    def rows(self, **given: object) -> list[Row]:
        """What the queryset finds with these values in its places. One query."""
        queryset, compiler = self._compiled
        assert compiler.kept is not None
        sql, params = compiler.kept
        filled = tuple(given[each.name] if isinstance(each, _Place) else each for each in params)
        asked = queryset.all()
        assert isinstance(asked.query, _Asked)
        asked.query.written = compiler.again(sql, filled)
        return list(asked)

    def first(self, **given: object) -> Row | None:
        """The first of them; the queryset says how many it finds at most."""
        return next(iter(self.rows(**given)), None)

    @cached_property
    def _compiled(self) -> tuple[QuerySet[models.Model, Row], _Compiler]:
        queryset = self._written()
        compiler = _Compiler(queryset.query, connections[DEFAULT_DB_ALIAS], DEFAULT_DB_ALIAS)
        compiler.kept = compiler.as_sql()
        compiler.get_converters([each[0] for each in compiler.select[: compiler.col_count]])
        rows_as = queryset._iterable_class
        queryset.query = queryset.query.chain(_Asked)
        queryset._iterable_class = rows_as  # which another query resets
        return queryset, compiler


# Private


@dataclass(frozen=True, slots=True)
class _Place:
    name: str


class _Compiler(SQLCompiler):
    """Writes its statement once; columns and related rows stand as they were found then."""

    # Parameters are of whatever type their columns are.
    kept: tuple[str, tuple[Any, ...]] | None = None
    converters: dict[int, Any] | None = None

    def again(self, sql: str, params: tuple[Any, ...]) -> _Compiler:
        """The same for other values, in the connection of this thread."""
        fresh = copy(self)
        fresh.connection, fresh.kept = connections[DEFAULT_DB_ALIAS], (sql, params)
        return fresh

    def get_converters(self, expressions: list[Expression]) -> dict[int, Any]:
        """What makes values of columns: found once, as the columns stay the same."""
        if self.converters is None:
            self.converters = super().get_converters(expressions)
        return self.converters

    def as_sql(self, with_limits: bool = True, with_col_aliases: bool = False) -> tuple[str, tuple[Any, ...]]:
        """The statement, written or kept."""
        return self.kept or super().as_sql(with_limits, with_col_aliases)


class _Asked(Query):
    """A queryset's query whose statement is written already."""

    written: _Compiler

    def get_compiler(self, *_: object, **__: object) -> _Compiler:
        """What the rows are read with."""
        return self.written
