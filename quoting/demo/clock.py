"""The demo's clock: what happened weeks ago is loaded as if it were then."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from unittest.mock import patch

from django.utils import timezone


@contextmanager
def as_of(moment: datetime) -> Iterator[None]:
    """Inside, the product's clock stands at ``moment``, unless that is still to come. For loading the demo only."""
    if moment >= timezone.now():
        yield
        return
    with patch("django.utils.timezone.now", lambda: moment):
        yield
