"""Addresses inside a studio."""

from __future__ import annotations

from django.conf import settings
from django.urls import reverse

from studio import tenancy


def to(name: str, *args: object, **kwargs: object) -> str:
    """The address of a page of the entered studio: ``to("events:event", 7)``."""
    if args:
        return reverse(name, args=[tenancy.current().slug, *args])
    return reverse(name, kwargs={"slug": tenancy.current().slug, **kwargs})


def absolute(path: str) -> str:
    """The whole address, with host, for e-mails."""
    return settings.SITE_URL.rstrip("/") + path
