"""``python manage.py load_demo``: the two invented studios with their season."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from quoting.demo import PASSWORD, load
from studio.models import Person


class Command(BaseCommand):
    """Loads the demo once; a second run finds it there and changes nothing."""

    help = "Load the demo's studios, or list who can sign in to them."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--sign-ins", action="store_true", help="only list who can sign in")

    # Django hands on whatever the parser made of the command line.
    def handle(self, *args: Any, sign_ins: bool, **options: Any) -> None:
        if sign_ins:
            self._list_sign_ins()
            return
        for scenario in load.scenarios():
            name = scenario["studio"]["name"]
            if Person.objects.filter(email=scenario["studio"]["people"][0]["email"]).exists():
                self.stdout.write(f"{name} is here already.")
                continue
            load.load(scenario)
            self.stdout.write(f"{name}: {len(scenario['events'])} events loaded.")

    def _list_sign_ins(self) -> None:
        self.stdout.write(f"Sign in with one of these and the password {PASSWORD}\n")
        for who in load.sign_ins():
            self.stdout.write(f"  {who.email:<28} {who.role:<6} {who.name}, {who.studio}")
