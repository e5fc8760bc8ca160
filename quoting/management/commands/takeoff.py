"""Work out a design file: what the web page would show, printed."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from quoting.craft.design import DesignError, load_design
from quoting.craft.picture import elevation_svg
from quoting.craft.report import report_json, report_text
from quoting.craft.takeoff import take_off


class Command(BaseCommand):
    """``python manage.py takeoff FILE.json [--text | --json | --svg OUT]``."""

    help = "Work out a design file: counts, bill, minutes, dimensions, build sheet, picture."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="the design file")
        output = parser.add_mutually_exclusive_group()
        output.add_argument("--text", action="store_true", help="print it as text (the default)")
        output.add_argument("--json", action="store_true", help="print it as JSON")
        output.add_argument("--svg", type=Path, metavar="OUT", help="write the picture to OUT")

    def handle(self, *_args: Any, **options: Any) -> None:
        path: Path = options["file"]
        if not path.is_file():
            raise CommandError(f"{path}: there is no such file.")
        try:
            takeoff = take_off(load_design(path))
        except DesignError as error:
            raise CommandError(f"{path.name} cannot be worked out:\n{error}") from None
        if options["svg"]:
            options["svg"].write_text(elevation_svg(takeoff), encoding="utf-8")
            self.stdout.write(f"Picture written to {options['svg']}.")
        elif options["json"]:
            self.stdout.write(json.dumps(report_json(takeoff), indent=2, ensure_ascii=False))
        else:
            self.stdout.write(report_text(takeoff))
