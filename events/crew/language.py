"""The language of what somebody of the crew reads outside the studio's pages: calls, their e-mails, the calendar."""

from __future__ import annotations

from contextlib import AbstractContextManager

from studio.measures.languages import language_of, speaking
from studio.models import Person, entered_studio


def speaking_to(person: Person) -> AbstractContextManager[None]:
    """Inside, our words are in the person's language: their own, else the studio's, as far as we speak it."""
    return speaking(language_of(person.language, entered_studio().locale))
