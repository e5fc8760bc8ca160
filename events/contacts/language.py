"""The language of whatever one client reads: its pages, papers and e-mails."""

from __future__ import annotations

from contextlib import AbstractContextManager

from events.models import Client
from studio.measures.languages import language_of, speaking
from studio.models import entered_studio


def speaking_to(client: Client) -> AbstractContextManager[None]:
    """Inside, our words are in the client's language: their own, else the studio's, as far as we speak it."""
    return speaking(language_of(client.language, entered_studio().locale))


def speaking_to_somebody() -> AbstractContextManager[None]:
    """The same for somebody who is no client yet: in the studio's language, as far as we speak it."""
    return speaking(language_of("", entered_studio().locale))
