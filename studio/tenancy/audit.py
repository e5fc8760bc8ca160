"""The audit trail: who did what to which record when.

PostgreSQL triggers write it (django-pghistory), so that bulk and raw changes are caught as well. Who acted comes
from the settings that :func:`studio.tenancy.entered` makes for the transaction.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from typing import TYPE_CHECKING, ClassVar, TypedDict, TypeGuard, TypeVar

import pghistory
from django.apps import apps
from django.db import models

M = TypeVar("M", bound=type[models.Model])


class Actor(TypedDict, total=False):
    """Who acted, as the triggers write it."""

    person: int | None
    phone: int | None
    role: str


if TYPE_CHECKING:

    class HistoryModel(models.Model):
        """What pghistory gives every history table."""

        pgh_tracked_model: ClassVar[type[models.Model]]
        pgh_id: int
        pgh_obj_id: int
        pgh_label: str
        pgh_created_at: datetime
        pgh_context: Actor | None

        class Meta:
            abstract = True


def tracked(*, exclude: Iterable[str] = (), table: str = "") -> Callable[[M], M]:
    """Class decorator: every insert, update and delete of the model is written to its history table.

    ``table`` names that history table where the model was renamed and its tables were not.
    """
    decorate: Callable[[M], M] = pghistory.track(
        pghistory.InsertEvent(),
        pghistory.UpdateEvent(),
        pghistory.DeleteEvent(),
        exclude=list(exclude),
        context_field=pghistory.ContextJSONField(),
        context_id_field=None,  # type: ignore[arg-type] # None is how it is left out
        obj_field=pghistory.ObjForeignKey(related_name="history"),
        meta={"db_table": table} if table else None,
    )
    return decorate


def is_history(model: type[models.Model]) -> TypeGuard[type[HistoryModel]]:
    """Whether the model is a history table of the audit trail."""
    return issubclass(model, pghistory.models.Event)


def history_models() -> list[type[HistoryModel]]:
    """The history tables of every tracked model."""
    return [model for model in apps.get_models() if is_history(model)]
