"""The Redis that all processes share, beside Django's cache: for what needs more than a cache can do."""

from __future__ import annotations

from functools import cache

from django.conf import settings
from redis import Redis


@cache
def shared_redis() -> Redis:
    """One client for the process; Django's cache makes a new one for every command."""
    return Redis.from_url(str(settings.CACHES["default"]["LOCATION"]))
