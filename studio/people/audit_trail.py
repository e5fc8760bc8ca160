"""The audit trail as its page lists it: who did what to which record when."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Final, Literal

from django.db import models
from django.db.models import OuterRef, Subquery, Value

from studio.models import CrewPhone, Person, entered_studio
from studio.models.dates import day_written, moment_written
from studio.tenancy.access import require
from studio.tenancy.audit import history_models
from studio.tenancy.rights import Right

if TYPE_CHECKING:
    from studio.tenancy.audit import Actor, HistoryModel

    class Entry(HistoryModel):
        """An entry with the id of the one before of the same record."""

        earlier_id: int | None

        class Meta:
            abstract = True

    AnyField = models.Field[object, object]


LONGEST_VALUE: Final = 80
"""Characters of a value that are shown."""
LABELS: Final = {"insert": "added", "update": "changed", "delete": "removed"}


@dataclass(frozen=True)
class AuditEntry:
    """One entry of the trail."""

    at: datetime
    person: str
    role: str
    did: str
    kind: str
    record: str
    changes: tuple[tuple[str, str, str], ...]
    """Field, what it was, what it became; empty unless something was changed."""


def recent_entries(*, limit: int, kind: str = "", before: datetime | None = None) -> list[AuditEntry]:
    """The newest ``limit`` entries of the entered studio, newest first; only of records of ``kind`` if given.

    One query finds them among all types; then two for each kind that is among them, and one each for the names of
    people and phones.
    """
    require(Right.SEE_AUDIT)
    models_of = [model for model in history_models() if not kind or _kind(model) == kind]
    found = _newest(models_of, limit, before)
    rows = [row for place, ids in found.items() for row in _with_earlier(models_of[place], ids)]
    rows.sort(key=lambda row: (row.pgh_created_at, row.pgh_id), reverse=True)
    return _entries_of(rows)


def kinds() -> list[str]:
    """The kinds of record that are tracked, as people read them."""
    return sorted(_kind(model) for model in history_models())


def _newest(
    models_of: Sequence[type[HistoryModel]], limit: int, before: datetime | None
) -> dict[int, list[int]]:
    """Ids of the newest entries in all the tables together, by the place of their table. One query."""
    earlier = {"pgh_created_at__lt": before} if before else {}
    newest = [
        model._default_manager.filter(**earlier)
        .order_by("-pgh_created_at", "-pgh_id")
        .annotate(pgh_table=Value(place))
        .values_list("pgh_created_at", "pgh_id", "pgh_table")[:limit]
        for place, model in enumerate(models_of)
    ]
    first, *others = newest
    together = first.union(*others, all=True) if others else first
    found: dict[int, list[int]] = defaultdict(list)
    for _at, pgh_id, place in together.order_by("-pgh_created_at", "-pgh_id")[:limit] if others else together:
        found[place].append(pgh_id)
    return found


def _with_earlier(model: type[HistoryModel], ids: list[int]) -> list[Entry]:
    """Entries of one table, each with the id of the one before of the same record."""
    earlier = model._default_manager.filter(
        pgh_obj_id=OuterRef("pgh_obj_id"), pgh_id__lt=OuterRef("pgh_id")
    ).order_by("-pgh_id")
    rows = model._default_manager.filter(pk__in=ids)
    return list(rows.annotate(earlier_id=Subquery(earlier.values("pgh_id")[:1])))


def _kind(model: type[HistoryModel]) -> str:
    return str(model.pgh_tracked_model._meta.verbose_name)


def _entries_of(rows: list[Entry]) -> list[AuditEntry]:
    people, phones = _named(Person, "person", rows), _named(CrewPhone, "phone", rows)
    earlier = _earlier_states(rows)
    entries = []
    for row in rows:
        context: Actor = row.pgh_context or {}
        phone = phones.get(context.get("phone") or 0, "Billowbook")
        person = people.get(context.get("person") or 0, phone)
        changes = _changes(earlier.get((type(row), row.earlier_id)), row) if row.pgh_label == "update" else ()
        entries.append(
            AuditEntry(
                at=row.pgh_created_at,
                person=person,
                role=context.get("role", ""),
                did=LABELS.get(row.pgh_label, row.pgh_label),
                kind=_kind(type(row)),
                record=_record(row),
                changes=changes,
            )
        )
    return entries


def _named(model: type[models.Model], kind: Literal["person", "phone"], rows: list[Entry]) -> dict[int, str]:
    """The names of the people or phones that made these changes."""
    ids = {actor for row in rows if (actor := (row.pgh_context or {}).get(kind))}
    return dict(model._default_manager.filter(pk__in=ids).values_list("pk", "name")) if ids else {}


def _earlier_states(rows: list[Entry]) -> dict[tuple[type, int | None], HistoryModel]:
    """By kind and id, the states before those that were changed: one query for each kind of record."""
    found: dict[tuple[type, int | None], HistoryModel] = {}
    for model in {type(row) for row in rows}:
        ids = [row.earlier_id for row in rows if type(row) is model and row.pgh_label == "update"]
        if ids:
            found |= {(model, state.pgh_id): state for state in model._default_manager.filter(pk__in=ids)}
    return found


def _changes(before: HistoryModel | None, after: HistoryModel) -> tuple[tuple[str, str, str], ...]:
    if before is None:
        return ()
    fields = [field for field in after._meta.concrete_fields if not field.name.startswith("pgh_")]
    return tuple(
        (str(field.verbose_name), _written(before, field), _written(after, field))
        for field in fields
        if getattr(before, field.attname) != getattr(after, field.attname)
    )


def _written(row: HistoryModel, field: AnyField) -> str:
    value = getattr(row, field.attname)
    if value is None or value == "":
        return "—"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return moment_written(value.astimezone(entered_studio().tz))
    if isinstance(value, date):
        return day_written(value)
    text = str(dict(field.flatchoices).get(value, value) if field.flatchoices else value)
    return text if len(text) <= LONGEST_VALUE else text[: LONGEST_VALUE - 1] + "…"


def _record(row: HistoryModel) -> str:
    for name in ("name", "title", "email", "label", "number"):
        value = getattr(row, name, None)
        if value:
            return str(value)
    return f"no. {row.pgh_obj_id}"
