"""The Redis that all processes share, beside Django's cache: for what needs more than a cache can do."""

from __future__ import annotations

from functools import cache
from threading import Lock
from typing import Final

from django.conf import settings
from redis import Redis

_ONE_AT_A_TIME: Final = Lock()


def shared_redis() -> Redis:
    """One client for the process; Django's cache makes a new one for every command.

    Threads that ask first at the same moment get the same one: a second, when nobody held it any more, would close
    the connections that its commands still use.
    """
    with _ONE_AT_A_TIME:
        return _client()


@cache
def _client() -> Redis:
    return Redis.from_url(str(settings.CACHES["default"]["LOCATION"]))
