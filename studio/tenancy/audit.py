"""The audit trail: who did what to which record when.

PostgreSQL triggers write it (django-pghistory), so that bulk and raw changes are caught as well. Who acted comes
from the settings that :func:`studio.tenancy.entered` makes for the transaction.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

import pghistory
from django.apps import apps
from django.db import models

M = TypeVar("M", bound=type[models.Model])


def tracked(*, exclude: Iterable[str] = ()) -> Callable[[M], M]:
    """Class decorator: every insert, update and delete of the model is put down in its history table."""
    return pghistory.track(  # type: ignore[no-any-return]
        pghistory.InsertEvent(),
        pghistory.UpdateEvent(),
        pghistory.DeleteEvent(),
        exclude=list(exclude),
        context_field=pghistory.ContextJSONField(),
        context_id_field=None,  # type: ignore[arg-type] # None is how it is left out
        obj_field=pghistory.ObjForeignKey(related_name="history"),
    )


def history_models() -> list[type[models.Model]]:
    """The history tables of every tracked model."""
    return [model for model in apps.get_models() if issubclass(model, pghistory.models.Event)]
