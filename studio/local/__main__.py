"""`python -m studio.local …`: see `--help`."""

from __future__ import annotations

import argparse
import os
import shlex
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

from studio.local import roles
from studio.local.demo import demo
from studio.local.errors import LocalError
from studio.local.interruption import Interrupted, interruptible, wait
from studio.local.place import LOCAL
from studio.local.services import Addresses, kept_services, passing_services
from studio.local.system_packages import bring_browser, bring_node, bring_pdf_libraries


def main() -> int:
    """Run the command that was asked for; its exit code."""
    options = parser().parse_args()
    try:
        return int(options.run(options))
    except LocalError as failure:
        print(f"\n{failure}", file=sys.stderr)
        return 1


def parser() -> argparse.ArgumentParser:
    """What can be asked for."""
    top = argparse.ArgumentParser(prog="python -m studio.local", description="Billowbook on this machine.")
    commands = top.add_subparsers(required=True)

    command = commands.add_parser("demo", help="start everything with the demo's data and print the address")
    command.add_argument("--fresh", action="store_true", help="delete the data of earlier runs first")
    command.add_argument("--port", type=int, default=8000, help="where to listen (if taken: the next free)")
    command.add_argument("--folder", type=Path, default=LOCAL / "demo", help=argparse.SUPPRESS)
    command.set_defaults(run=lambda options: demo(options.folder, port=options.port, fresh=options.fresh))

    command = commands.add_parser(
        "services", help="run a command with PostgreSQL and Redis beside it, or start them and wait"
    )
    command.add_argument("--keep", type=Path, metavar="FOLDER", help="keep the data there, not delete it")
    command.add_argument("command", nargs=argparse.REMAINDER, help="-- command and its arguments")
    command.set_defaults(run=run_services)

    command = commands.add_parser(
        "roles",
        help="make roles and database on the server of ADMIN_DATABASE_URL as OWNER_DATABASE_URL, "
        "DATABASE_URL and BACKUP_DATABASE_URL name them",
    )
    command.set_defaults(run=run_roles)

    command = commands.add_parser("packages", help="bring the system packages that are needed")
    command.add_argument("--browser", action="store_true", help="the tests' browser too")
    command.add_argument("--node", action="store_true", help="Node.js too, for the tests of the scripts")
    command.add_argument("--npm", action="store_true", help="Node.js and npm too, for their linters")
    command.set_defaults(run=run_packages)
    return top


def run_services(options: argparse.Namespace) -> int:
    """Start the services; run the command with their addresses in its environment, or print them and wait."""
    command = options.command[1:] if options.command[:1] == ["--"] else options.command
    with interruptible(), suppress(Interrupted):
        if options.keep:
            with kept_services(options.keep.resolve()) as (_, addresses):
                return beside(addresses, command)
        with passing_services() as addresses:
            return beside(addresses, command)
    return 0


def beside(addresses: Addresses, command: list[str]) -> int:
    """Run the command with the services' addresses in its environment, or print them and wait."""
    environment = addresses.environment()
    if command:
        return subprocess.run(command, env={**os.environ, **environment}, check=False).returncode
    for name, value in environment.items():
        print(f"export {name}={shlex.quote(value)}", flush=True)
    wait()
    return 0


def run_roles(_: argparse.Namespace) -> int:
    """Make the roles and the database on a server that exists."""
    names = ("DATABASE_URL", "OWNER_DATABASE_URL", "BACKUP_DATABASE_URL")
    admin = os.environ.get("ADMIN_DATABASE_URL")
    missing = [name for name in ("ADMIN_DATABASE_URL", *names[:2]) if not os.environ.get(name)]
    if admin is None or missing:
        raise LocalError(f"Set {', '.join(missing)} first.")
    roles.make_from_addresses(admin, [os.environ[name] for name in names if os.environ.get(name)])
    print("Roles and database are as they should be.")
    return 0


def run_packages(options: argparse.Namespace) -> int:
    """Bring what the system lacks."""
    bring_pdf_libraries(print)
    if options.browser:
        bring_browser(print)
    if options.node or options.npm:
        bring_node(print, npm=options.npm)
    return 0


if __name__ == "__main__":
    sys.exit(main())
