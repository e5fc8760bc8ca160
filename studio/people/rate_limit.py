"""How often something may be tried, counted in Redis (Django's cache) for all web processes together."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from time import time
from typing import Any

from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


@dataclass(frozen=True)
class Limit:
    """At most ``tries`` within each ``window_seconds``."""

    tries: int
    window_seconds: int


LINK = Limit(tries=60, window_seconds=60)
LOOK = Limit(tries=300, window_seconds=60)
"""A page that looks along asks some ninety times a minute; a household may look on three."""
ANSWER = Limit(tries=10, window_seconds=60)
JOIN = Limit(tries=20, window_seconds=600)


def over(limit: Limit, *, action: str, who: str) -> bool:
    """Count one try of ``action`` by ``who``; true when it is one too many."""
    span = int(time()) // limit.window_seconds
    key = "rate:" + hashlib.sha256(f"{action}\0{who}\0{span}".encode()).hexdigest()
    cache.add(key, 0, timeout=limit.window_seconds + 1)
    try:
        return cache.incr(key) > limit.tries
    except ValueError:  # The window ended between the two calls.
        return False


def limited(
    limit: Limit, action: str
) -> Callable[[Callable[..., HttpResponse]], Callable[..., HttpResponse]]:
    """Make a public view answer 429, with when to come back, to an address that tries too often."""

    def decorate(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            if over(limit, action=action, who=address_of(request)):
                response = render(request, "429.html", {"seconds": limit.window_seconds}, status=429)
                response["Retry-After"] = str(limit.window_seconds)
                return response
            return view(request, *args, **kwargs)

        guarded.rate_limit = limit  # type: ignore[attr-defined]
        return guarded

    return decorate


def address_of(request: HttpRequest) -> str:
    """The address that asks, as the number of trusted proxies lets us know it."""
    from django.conf import settings

    hops = settings.TRUSTED_PROXIES
    forwarded = [
        part.strip() for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",") if part.strip()
    ]
    if hops and len(forwarded) >= hops:
        return str(forwarded[-hops])
    return str(request.META.get("REMOTE_ADDR", ""))
