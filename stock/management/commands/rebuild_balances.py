"""``manage.py rebuild_balances``: set every balance to the sum of its movements; ``--check`` only looks."""

from __future__ import annotations

from argparse import ArgumentParser

from django.core.management.base import BaseCommand, CommandError

from stock.ledger import movements
from studio import tenancy


class Command(BaseCommand):
    """Compute every balance again from its movements."""

    help = "Set every balance to the sum of its movements, in every studio."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """One flag and an optional studio."""
        parser.add_argument("--check", action="store_true", help="change nothing; fail if a balance is wrong")
        parser.add_argument("--studio", help="short name of one studio; every studio otherwise")

    def handle(self, *args: object, **options: object) -> None:
        """Handle each studio in its own transaction."""
        roster = [(pk, slug) for pk, slug in tenancy.each_studio() if options["studio"] in (None, slug)]
        if not roster:
            raise CommandError(f"There is no studio called {options['studio']}.")
        found = 0
        for studio_id, slug in roster:
            with tenancy.entered(studio_id, slug=slug):
                wrong = movements.find_mismatches() if options["check"] else movements.rebuild_balances()
            for each in wrong:
                self.stdout.write(
                    f"{slug}: {each.code} had {each.balance}, but its movements add up to {each.ledger}"
                )
            found += len(wrong)
        if options["check"] and found:
            raise CommandError(f"{found} balances are wrong. Run rebuild_balances without --check.")
        self.stdout.write(
            "Every balance is the sum of its movements." if not found else f"{found} corrected."
        )
