"""Reading pages in tests."""

from __future__ import annotations

import re
from typing import Any

from django.test import Client


def text(response: Any) -> str:
    """The page with every run of white space as one space."""
    return re.sub(r"\s+", " ", response.content.decode())


def key_in(response: Any, prefix: str) -> str:
    """The key that a form of the page carries."""
    found = re.search(rf'name="{prefix}-key" value="([^"]+)"', response.content.decode())
    assert found is not None
    return found[1]


def posted(client: Client, address: str, **data: Any) -> Any:
    """The answer to a form that is sent."""
    return client.post(address, data)
