"""System checks: no tenant table without its policy."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from django.apps import AppConfig, apps
from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, register
from django.db import connections, models
from django.db.backends.base.base import BaseDatabaseWrapper

from studio.tenancy.audit import is_history

OUR_ROOMS = ("studio", "stock", "events", "quoting")
STANDS_OUTSIDE = {"studio.Person"}
"""Models of ours that belong to no studio, each with a reason: a person signs in before any studio is known."""


@register(Tags.models)
def tenant_models_are_declared(
    app_configs: Sequence[AppConfig] | None = None, **kwargs: object
) -> list[CheckMessage]:
    """Every model of ours is a tenant's, and its foreign keys to tenants are composite."""
    from studio.tenancy.models import TenantForeignKey

    errors: list[CheckMessage] = []
    for model in _our_models():
        if model._meta.label in STANDS_OUTSIDE or model._meta.label == "studio.Studio":
            continue
        if not _has_studio(model):
            errors.append(
                Error(
                    f"{model._meta.label} has no studio.", hint="Subclass TenantModel.", id="billowbook.E001"
                )
            )
        if is_history(model):
            continue
        errors += [
            Error(
                f"{field} points to a tenant table with a plain foreign key.",
                hint="Use TenantForeignKey, and GuardReference where the table exists already.",
                id="billowbook.E002",
            )
            for field in model._meta.local_fields
            if field.related_model in _tenant_models() and not isinstance(field, TenantForeignKey)
        ]
        if model._meta.local_many_to_many:
            errors.append(
                Error(
                    f"{model._meta.label} has an automatic join table.",
                    hint="Name a tenant model for it.",
                    id="billowbook.E003",
                )
            )
    return errors


@register(Tags.database)
def tenant_tables_are_guarded(databases: Sequence[str] | None = None, **kwargs: object) -> list[CheckMessage]:
    """In the database, every tenant table has row-level security enabled, forced, and a policy both ways.

    Not asked of the owner: ``migrate`` checks before it works, and what was interrupted between making a table and
    guarding it could then never be finished. Whoever serves is asked.
    """
    if settings.AS_OWNER:
        return []
    errors: list[CheckMessage] = []
    for alias in databases or ():
        guarded = set(_guarded_tables(connections[alias]))
        existing = set(connections[alias].introspection.table_names())
        for model in guarded_models():
            table = model._meta.db_table
            if table in existing and table not in guarded:
                errors.append(
                    Error(
                        f"Table {table} isn't guarded by row-level security.",
                        hint=f'Add GuardTenantTable("{model._meta.model_name}") to its migration.',
                        id="billowbook.E004",
                    )
                )
    return errors


def guarded_models() -> list[type[models.Model]]:
    """Every model whose table must carry a policy: tenants, their history, and the studio's own row."""
    return [model for model in _our_models() if model._meta.label not in STANDS_OUTSIDE]


def _our_models() -> Iterator[type[models.Model]]:
    for model in apps.get_models(include_auto_created=True):
        if model._meta.app_label in OUR_ROOMS and model._meta.managed and not model._meta.proxy:
            yield model


def _tenant_models() -> set[type[models.Model]]:
    from studio.tenancy.models import TenantModel

    return {model for model in _our_models() if issubclass(model, TenantModel)}


def _has_studio(model: type[models.Model]) -> bool:
    if is_history(model) and model.pgh_tracked_model._meta.label == "studio.Studio":
        return True
    return any(field.name == "studio" for field in model._meta.local_fields)


def _guarded_tables(connection: BaseDatabaseWrapper) -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute(
            """
            SELECT c.relname FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
            WHERE n.nspname = 'public' AND c.relkind IN ('r', 'p') AND c.relrowsecurity AND c.relforcerowsecurity
              AND EXISTS (SELECT FROM pg_policies p WHERE p.schemaname = 'public' AND p.tablename = c.relname
                          AND p.cmd = 'ALL' AND p.qual IS NOT NULL AND p.with_check IS NOT NULL)
            """
        )
        return [name for (name,) in cursor.fetchall()]
