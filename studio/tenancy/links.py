"""Addresses inside a studio, and of the pages outside."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from django.conf import settings
from django.urls import get_script_prefix, reverse

from studio import tenancy

_ANY_SLUG: Final = "any-slug-of-a-studio"
_ANY_NUMBER: Final = 9_007_000_000
"""What a page's address is first made with; no address holds this number otherwise."""


def to(name: str, *args: object, **kwargs: object) -> str:
    """The address of a page of the entered studio: ``to("events:event", 7)``."""
    slug = tenancy.current().slug
    if kwargs:
        return reverse(name, kwargs={"slug": slug, **kwargs})
    if all(type(arg) is int and arg >= 0 for arg in args):
        return _pattern(get_script_prefix(), name, len(args)).format(slug, *args)
    return reverse(name, args=[slug, *args])


def is_inside(path: str) -> bool:
    """Whether a path leads to a page of the entered studio and nowhere else: no host, no query, no way up."""
    prefix = re.escape(f"{get_script_prefix()}s/{tenancy.current().slug}/")
    return re.fullmatch(rf"{prefix}([\w-]+/)*", path, re.ASCII) is not None


def outside(name: str) -> str:
    """The address of a page outside the studios: ``outside("account_login")``."""
    return _fixed(get_script_prefix(), name)


def absolute(path: str) -> str:
    """The whole address, with host, for e-mails."""
    return settings.SITE_URL.rstrip("/") + path


@lru_cache(maxsize=64)
def _fixed(_prefix: str, name: str) -> str:
    return reverse(name)


# A page has dozens of addresses that differ in their numbers only: each sort is looked up once.
@lru_cache(maxsize=1024)
def _pattern(_prefix: str, name: str, numbers: int) -> str:
    """The page's address with a gap for the studio and for each number."""
    stand_ins = [_ANY_NUMBER + place for place in range(numbers)]
    pattern = reverse(name, args=[_ANY_SLUG, *stand_ins]).replace(_ANY_SLUG, "{0}")
    for place, stand_in in enumerate(stand_ins, start=1):
        pattern = pattern.replace(str(stand_in), f"{{{place}}}")
    return pattern
