"""The people who stand ready in every test: two studios, each with owner, staff and crew."""

from __future__ import annotations

from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import Any

from django.db import connection
from django.test import Client
from django.urls import reverse

from studio import tenancy
from studio.models import Membership, Person, Studio
from studio.tenancy.rights import MEMBER_ROLES, Role


@dataclass(frozen=True)
class House:
    """A studio and its people."""

    studio: Studio
    owner: Person
    staff: Person
    crew: Person

    def person(self, role: str) -> Person:
        """The member with that role."""
        return {"owner": self.owner, "staff": self.staff, "crew": self.crew}[role]

    def enter(self, role: str = "owner") -> AbstractContextManager[tenancy.Tenant]:
        """Act in this studio as its member with that role."""
        return tenancy.entered(
            self.studio.pk, slug=self.studio.slug, role=Role(role), person_id=self.person(role).pk
        )

    def client(self, role: str = "owner") -> Client:
        """A browser in which that member is signed in."""
        client = Client()
        client.force_login(self.person(role))
        return client

    def url(self, name: str, *args: Any) -> str:
        """The address of a page of this studio."""
        return reverse(name, args=[self.studio.slug, *args])


def house(slug: str, name: str, **profile: Any) -> House:
    """A studio with an owner, a staff member and a crew member, in a few statements.

    tests/studio/people/test_membership.py holds that these are the rows that :func:`found_studio` writes.
    """
    persons = [
        Person(email=f"{role}@{slug}.example", name=f"{name} {role.capitalize()}") for role in MEMBER_ROLES
    ]
    for person in persons:
        person.set_unusable_password()
    Person.objects.bulk_create(persons)
    studio_id = _next_studio_id()
    with tenancy.entered(studio_id, slug=slug, person_id=persons[0].pk):
        studio = Studio(pk=studio_id, slug=slug, name=name, **profile)
        studio.clean_fields()
        studio.save(force_insert=True)
        Membership.objects.bulk_create(
            Membership(person=person, role=role) for person, role in zip(persons, MEMBER_ROLES, strict=True)
        )
    return House(studio, *persons)


def _next_studio_id() -> int:
    with connection.cursor() as cursor:
        cursor.execute("SELECT nextval(pg_get_serial_sequence('studio_studio', 'id'))")
        found: tuple[int] = cursor.fetchone()
    return found[0]


def wickerlark() -> House:
    """Feet and inches, dollars, tax on top, New York's clocks."""
    return house(
        "wickerlark",
        "Wickerlark Decor",
        zone="America/New_York",
        units="feet",
        currency="USD",
        locale="en_US",
    )


def federkorn() -> House:
    """Metric, euro, tax inside, Berlin's clocks."""
    return house(
        "federkorn",
        "Atelier Federkorn",
        zone="Europe/Berlin",
        units="metric",
        currency="EUR",
        locale="de_DE",
        prices_include_tax=True,
    )
