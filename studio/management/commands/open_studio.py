"""``python manage.py open_studio``: the first studio of a fresh server, and its owner."""

from __future__ import annotations

import getpass
from argparse import ArgumentParser
from typing import Any

from allauth.account.models import EmailAddress
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from studio.models import Person
from studio.people import membership


class Command(BaseCommand):
    """Opens a studio. Further people are invited by its owner."""

    help = "Open a studio with its first owner; asks for the owner's password unless they have an account."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("slug", help="its short name in addresses, such as wickerlark")
        parser.add_argument("name", help="its name, such as “Wickerlark Decor”")
        parser.add_argument("owner_email")
        parser.add_argument("owner_name")
        parser.add_argument("--zone", default="UTC", help="IANA time zone, such as Europe/Berlin")
        parser.add_argument("--currency", default="EUR", help="ISO 4217 code")
        parser.add_argument("--units", default="metric", choices=["feet", "metric"])
        parser.add_argument("--locale", default="en_US", help="writes money and dates, such as de_DE")

    # Django hands on whatever the parser made of the command line.
    def handle(self, *args: object, **options: Any) -> None:
        profile = {key: options[key] for key in ("zone", "currency", "units", "locale")}
        email = options["owner_email"].strip().lower()
        try:
            with transaction.atomic():
                owner = Person.objects.filter(email=email).first() or self._person(
                    email, options["owner_name"]
                )
                studio = membership.found_studio(
                    owner=owner, slug=options["slug"], name=options["name"], first_steps_open=True, **profile
                )
        except ValidationError as refusal:
            raise CommandError("\n".join(refusal.messages)) from None
        self.stdout.write(f"{studio.name} is open; {email} is its owner.")

    def _person(self, email: str, name: str) -> Person:
        password = getpass.getpass(f"Password for {email}: ")
        person = Person(email=email, name=name)
        validate_password(password, person)
        person = Person.objects.create_user(email, password, name=name)
        EmailAddress.objects.create(user=person, email=email, verified=True, primary=True)
        return person
