"""``python manage.py invite_owner``: an address at which somebody opens their studio in the browser."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.core.validators import validate_email

from studio.people.opening import INVITED_DAYS, invite_to_open


class Command(BaseCommand):
    """Prints the address; whoever runs the server passes it on."""

    help = "Print an address at which the holder of an e-mail address opens one studio."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("email", help="the future owner's e-mail address")

    # Django hands on whatever the parser made of the command line.
    def handle(self, *args: object, **options: Any) -> None:
        try:
            validate_email(options["email"])
        except ValidationError as refusal:
            raise CommandError(refusal.messages[0]) from None
        self.stdout.write(invite_to_open(options["email"]))
        self.stdout.write(f"It works once and for {INVITED_DAYS} days, for {options['email']} alone.")
