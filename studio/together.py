"""Several questions in one round trip to the database, for pages on which every millisecond is noticed.

Row-level security holds as always: these are the same ``SELECT`` statements, only sent as one.
"""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.models import Field, JSONField, Model, QuerySet
from django.db.models.query import ModelIterable


def rows(*questions: QuerySet[Any]) -> list[list[Any]]:
    """The rows of each queryset, in the order asked, in one statement.

    A plain queryset gives model instances (columns of its own table only: no ``select_related``, no annotations);
    a ``values_list`` gives lists whose moments are ISO 8601 texts and whose decimals are :class:`~decimal.Decimal`.
    """
    parts: list[str] = []
    given: list[Any] = []
    for place, question in enumerate(questions):
        try:
            sql, params = question.query.sql_with_params()
        except EmptyResultSet:  # Nothing can match, such as an empty list of ids.
            continue
        columns = f"{place} AS place, row_number() OVER () AS number, {_as_json(question)} AS row"
        parts.append(f"SELECT {columns} FROM ({sql}) t")  # noqa: S608 # Django's own SQL; values go as parameters.
        given += params
    found: list[list[tuple[int, Any]]] = [[] for _ in questions]
    if not parts:
        return [[] for _ in questions]
    with connection.cursor() as cursor:
        cursor.execute(" UNION ALL ".join(parts), given)
        for place, number, row in cursor.fetchall():
            values = json.loads(row, parse_float=Decimal)
            found[place].append((number, _made(questions[place], values)))
    return [[row for _, row in sorted(each, key=lambda pair: pair[0])] for each in found]


# Private


def _is_plain(question: QuerySet[Any]) -> bool:
    return issubclass(question._iterable_class, ModelIterable)


def _as_json(question: QuerySet[Any]) -> str:
    """The row as JSON text. Documents go as text within it, so that their numbers stay what they are in a document."""
    if not _is_plain(question):
        return "row_to_json(t)::text"
    documents = [
        field.column for field in question.model._meta.concrete_fields if isinstance(field, JSONField)
    ]
    left_out = question.query.deferred_loading[0]
    texts = [f"'{column}', t.\"{column}\"::text" for column in documents if column not in left_out]
    return f"(to_jsonb(t) || jsonb_build_object({', '.join(texts)}))::text" if texts else "to_jsonb(t)::text"


def _made(question: QuerySet[Any], values: dict[str, Any]) -> Any:
    if not _is_plain(question):
        return list(values.values())
    model: type[Model] = question.model
    fields = [field for field in model._meta.concrete_fields if field.column in values]
    read = [_read(field, values[str(field.column)]) for field in fields]
    return model.from_db(question.db, [field.attname for field in fields], read)


def _read(field: Field[Any, Any], value: Any) -> Any:
    return json.loads(value) if isinstance(field, JSONField) and value is not None else field.to_python(value)
