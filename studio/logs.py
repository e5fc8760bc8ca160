"""What logs may say: an address that opens something by itself stands there without its token."""

from __future__ import annotations

import logging
import re
from typing import Final

MASK: Final = "***"
TOKENS: Final = re.compile(
    r"(/(?:join|open|o|l|p|c|m|n)/|/calendar/|/account/password/reset/key/|/account/confirm-email/)"
    r"[^/\s?\"'<>]+?(?=\.ics\b|[/\s?\"'<>,;)]|$)"
)
"""The paths whose next part is a secret. A test holds this against the addresses of the site."""


def masked(text: str) -> str:
    """The text with the token of every secret address struck out."""
    return TOKENS.sub(rf"\1{MASK}", text)


class MaskSecrets(logging.Filter):
    """Strike tokens out of a record, its arguments and its traceback included."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.msg, record.args = masked(record.getMessage()), None
        if record.exc_info and not record.exc_text:
            record.exc_text = logging.Formatter().formatException(record.exc_info)
        if record.exc_text:
            record.exc_text = masked(record.exc_text)
        return True
