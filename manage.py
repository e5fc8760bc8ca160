#!/usr/bin/env python
"""Django's command line for Billowbook."""

import os
import sys


def main() -> None:
    """Run the command that was asked for. A take-off is plain arithmetic and needs none of the settings."""
    if sys.argv[1:2] == ["takeoff"]:
        from quoting.craft.sheets.command import run

        sys.exit(run(sys.argv[2:]))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
