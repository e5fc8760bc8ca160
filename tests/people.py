"""The people who stand ready in every test: two studios, each with owner, staff and crew."""

from __future__ import annotations

from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import Any

from django.test import Client
from django.urls import reverse

from studio import tenancy
from studio.models import Membership, Person, Studio
from studio.people import membership
from studio.tenancy.rights import Role


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
    """Found a studio with an owner, a staff member and a crew member."""
    owner = Person.objects.create_user(f"owner@{slug}.example", name=f"{name} Owner")
    staff = Person.objects.create_user(f"staff@{slug}.example", name=f"{name} Staff")
    crew = Person.objects.create_user(f"crew@{slug}.example", name=f"{name} Crew")
    studio = membership.found_studio(owner=owner, slug=slug, name=name, **profile)
    with tenancy.entered(studio.pk, slug=slug):
        Membership.objects.create(person=staff, role=Role.STAFF)
        Membership.objects.create(person=crew, role=Role.CREW)
    return House(studio, owner, staff, crew)


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
