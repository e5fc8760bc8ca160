"""How often something may be tried, counted in Redis (Django's cache) for all web processes together."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from studio.tenancy import counters
from studio.tenancy.counters import Limit
from studio.tenancy.fair_share import WAIT_FOR_A_TURN_SECONDS, TooMuch

LINK = Limit(tries=60, window_seconds=60)
LOOK = Limit(tries=300, window_seconds=60)
"""A page that looks along asks some ninety times a minute; a household may look on three."""
ANSWER = Limit(tries=10, window_seconds=60)
ENQUIRY = Limit(tries=12, window_seconds=3600)
"""Sent or looked at, by one address: a household shares it."""
JOIN = Limit(tries=20, window_seconds=600)
FEED = Limit(tries=12, window_seconds=300)
"""Of one calendar's address, which several devices may ask every few minutes."""


def over(limit: Limit, *, action: str, who: str) -> bool:
    """Count one try of ``action`` by ``who``; true when it is one too many."""
    return counters.count(action, who, limit.window_seconds) > limit.tries


def limited(
    limit: Limit, action: str
) -> Callable[[Callable[..., HttpResponse]], Callable[..., HttpResponse]]:
    """Make a public view answer 429, with when to come back, to an address that tries too often."""

    def decorate(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @wraps(view)
        def guarded(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
            if over(limit, action=action, who=address_of(request)):
                return wait_page(request, limit.window_seconds)
            return view(request, *args, **kwargs)

        return guarded

    return decorate


def too_much(request: HttpRequest, refusal: TooMuch) -> HttpResponse:
    """Answer 429 to whoever is over their share; a page that only waits for its turn loads itself again."""
    response = wait_page(request, refusal.retry_seconds, " ".join(refusal.messages))
    if request.method == "GET" and refusal.retry_seconds <= WAIT_FOR_A_TURN_SECONDS:
        response["Refresh"] = str(refusal.retry_seconds)
    return response


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


def wait_page(request: HttpRequest, seconds: int, words: str = "") -> HttpResponse:
    """Answer 429 with when to come back."""
    response = render(request, "429.html", {"seconds": seconds, "words": words}, status=429)
    response["Retry-After"] = str(seconds)
    return response
