"""The request of a studio's page: which studio, who asks, and the text that came with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from django.http import HttpRequest

from studio.measures.languages import Language, language_of
from studio.models import CrewPhone, Person, Studio
from studio.tenancy.rights import Right, Role, may


class NoPerson(RuntimeError):
    """A person was asked for where a phone acts by its link."""


@dataclass(frozen=True)
class PageTenant:
    """What templates know of the studio, the person and the role (``request.tenant``)."""

    studio: Studio
    signed_in: Person | None
    """None where a phone acts by its link."""
    role: Role
    phone: CrewPhone | None = None

    @property
    def person(self) -> Person:
        """Who is signed in. A page that phones open by a link doesn't ask: there it raises :class:`NoPerson`."""
        if self.signed_in is None:
            raise NoPerson("A phone acts here by its link; nobody is signed in.")
        return self.signed_in

    @property
    def language(self) -> Language:
        """What crew pages are read in: the person's or the phone's language, else the studio's."""
        reader = self.phone or self.signed_in
        return language_of(reader.language if reader else "", self.studio.locale)

    def can(self, right: str) -> bool:
        """Whether the person may; ``right`` by its member name (``"SEE_MARGIN"``) or value."""
        return may(self.role, Right[right] if right in Right.__members__ else Right(right))

    @property
    def rights(self) -> Mapping[str, bool]:
        """Every right by its member name, for templates: ``request.tenant.rights.SEE_MARGIN``."""
        return _rights_by_name(self.role)


@cache
def _rights_by_name(role: Role) -> Mapping[str, bool]:
    return MappingProxyType({right.name: may(role, right) for right in Right})


class StudioRequest(HttpRequest):
    """A request to a page of one studio: ``studio_page`` has set the tenant."""

    tenant: PageTenant
    htmx: bool


def clean_text(text: str) -> str:
    """The text without NUL, which PostgreSQL has no place for, and without space around it."""
    return text.replace("\x00", "").strip()


def searched_for(request: HttpRequest) -> str:
    """What ``?find=`` asks for, cut to a sensible length."""
    return clean_text(request.GET.get("find", ""))[:80]
