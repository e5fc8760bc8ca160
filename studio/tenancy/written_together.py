"""Rows of one change, written in one statement: PostgreSQL writes all of them or none.

Django saves row by row, each time with a statement made anew, which takes longer than PostgreSQL takes to write.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, TypeAlias

from django.db import DatabaseError, connection
from django.db.models import Field, Model

Shape: TypeAlias = tuple[type[Model], tuple[str, ...]]
"""A table, and the fields that are written of a row in it."""


@dataclass(frozen=True, slots=True)
class Altered:
    """A row that the database has already, and the names of its fields to be written."""

    row: Model
    fields: tuple[str, ...]


class NotWritten(DatabaseError):
    """A row to be altered is gone, or another studio's."""


def write_together(altered: Sequence[Altered], made: Sequence[Model] = ()) -> None:
    """Write altered rows and new ones. One query; new rows don't learn their ids.

    Raises :class:`NotWritten` where a row to be altered isn't there: the transaction is to be rolled back then.
    """
    shapes = tuple((type(each.row), each.fields) for each in altered)
    new = tuple((type(row), _names(type(row))) for row in made)
    params = [value for each in altered for value in (*_values(each.row, each.fields), each.row.pk)]
    params += [value for row, (_, names) in zip(made, new, strict=True) for value in _values(row, names)]
    with connection.cursor() as cursor:
        cursor.execute(_statement(shapes, new), params)
        (written,) = cursor.fetchone() or (0,)
    if written != len(altered) + len(made):
        raise NotWritten(f"{written} rows were written instead of {len(altered) + len(made)}.")


# Private


@lru_cache(maxsize=64)
def _statement(altered: tuple[Shape, ...], made: tuple[Shape, ...]) -> str:
    """Every row as a part of its own, and how many rows all parts wrote."""
    parts = [_update(*shape) for shape in altered] + [_insert(*shape) for shape in made]
    named = ", ".join(f"part{place} AS ({part} RETURNING 1)" for place, part in enumerate(parts))
    counted = " + ".join(f"(SELECT count(*) FROM part{place})" for place in range(len(parts)))  # noqa: S608
    return f"WITH {named} SELECT {counted}"  # names of tables and columns, no values


def _update(model: type[Model], names: Iterable[str]) -> str:
    table, columns = _quoted(model._meta.db_table), _columns(model, names)
    key = _columns(model, ["pk"])[0]
    return f"UPDATE {table} SET {', '.join(f'{column} = %s' for column in columns)} WHERE {key} = %s"  # noqa: S608


def _insert(model: type[Model], names: Iterable[str]) -> str:
    table, columns = _quoted(model._meta.db_table), _columns(model, names)
    return f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join(['%s'] * len(columns))})"  # noqa: S608


def _names(model: type[Model]) -> tuple[str, ...]:
    """What is written of a new row: everything but its id."""
    return tuple(field.name for field in model._meta.concrete_fields if not field.primary_key)


def _values(row: Model, names: Iterable[str]) -> Iterator[Any]:
    """What the database takes, as :meth:`Model.save` gives it: dates of change are set."""
    is_new = row.pk is None
    for field in _fields(type(row), tuple(names)):
        yield field.get_db_prep_save(field.pre_save(row, is_new), connection)


@lru_cache(maxsize=64)
def _fields(model: type[Model], names: tuple[str, ...]) -> tuple[Field[Any, Any], ...]:
    found = (model._meta.pk if name == "pk" else model._meta.get_field(name) for name in names)
    return tuple(field for field in found if isinstance(field, Field))


def _columns(model: type[Model], names: Iterable[str]) -> list[str]:
    return [_quoted(str(field.column)) for field in _fields(model, tuple(names))]


def _quoted(name: str) -> str:
    return connection.ops.quote_name(name)
