"""PostgreSQL and Redis for one run: our own, or those that DATABASE_URL and REDIS_URL name."""

from __future__ import annotations

import os
import secrets as random
import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from studio.local import postgres, processes, redis_server, roles
from studio.local.binaries import postgres_programs
from studio.local.errors import AlreadyRunning, LocalError
from studio.local.place import LOCAL, Place, discard, held, open_place, secrets_of, socket_folder

RUNS = LOCAL / "runs"
# A folder younger than this may belong to a run that has not locked it yet.
SETTLING_SECONDS = 5.0
Progress = Callable[[str], None]


@dataclass(frozen=True)
class Addresses:
    """Where the services are, for each role; None for a role that we were given no address of."""

    app: str
    owner: str | None
    backup: str | None
    admin: str | None
    redis: str

    def environment(self) -> dict[str, str]:
        """The addresses as the environment variables that the settings read."""
        named = {
            "DATABASE_URL": self.app,
            "OWNER_DATABASE_URL": self.owner,
            "BACKUP_DATABASE_URL": self.backup,
            "ADMIN_DATABASE_URL": self.admin,
            "REDIS_URL": self.redis,
        }
        return {name: value for name, value in named.items() if value is not None}


def silent(line: str) -> None:
    """Progress that nobody wants to read."""


@contextmanager
def kept_services(
    folder: Path, *, progress: Progress = silent, fresh: bool = False
) -> Iterator[tuple[Place, Addresses]]:
    """Services whose data stays in `folder` for the next time; `fresh` deletes what is there first.

    Raises AlreadyRunning while another process uses the folder.
    """
    place = open_place(folder)
    with held(folder):
        left = processes.stop_left_behind(place)
        if left:
            progress(f"Stopped what an earlier run left behind: {', '.join(left)}")
        if fresh:
            progress("Starting over: deleting the data of earlier runs")
            discard(place)
            place = open_place(folder)
        with running(place, progress=progress, durable=True) as addresses:
            yield place, addresses


@contextmanager
def passing_services(*, runs: Path = RUNS, progress: Progress = silent) -> Iterator[Addresses]:
    """Services with empty data of their own, deleted at the end; several runs may have theirs at once."""
    sweep(runs)
    folder = runs / random.token_hex(6)
    place = open_place(folder)
    try:
        with held(folder), running(place, progress=progress, durable=False) as addresses:
            yield addresses
    finally:
        remove(place)


def sweep(runs: Path) -> None:
    """End and delete what killed runs left in the folder of passing services."""
    if not runs.is_dir():
        return
    for folder in runs.iterdir():
        if time.time() - folder.stat().st_mtime < SETTLING_SECONDS:
            continue
        try:
            with held(folder):
                place = open_place(folder)
                processes.stop_left_behind(place)
                remove(place)
        except (AlreadyRunning, FileNotFoundError):
            continue  # a run that is alive, or one that another process swept at this moment


def remove(place: Place) -> None:
    """Delete a passing place altogether."""
    shutil.rmtree(place.servers, ignore_errors=True)
    shutil.rmtree(place.folder, ignore_errors=True)


@contextmanager
def running(place: Place, *, progress: Progress, durable: bool) -> Iterator[Addresses]:
    """Start the services that the environment does not name, and stop those at the end."""
    given_database, given_redis = os.environ.get("DATABASE_URL"), os.environ.get("REDIS_URL")
    secrets = secrets_of(place)
    place.make_servers_folder()
    with ExitStack() as stack:
        sockets = stack.enter_context(socket_folder(place))
        if given_redis is None:
            progress("Starting Redis")
            server = redis_server.start(place, sockets, durable=durable)
            stack.callback(processes.stop, server)
            redis_url = redis_server.url(sockets / "redis.sock")
        else:
            redis_url = given_redis
        if given_database is None:
            programs = postgres_programs(place)
            progress(f"Starting PostgreSQL {programs.major}")
            server = postgres.start(place, programs, secrets, sockets, durable=durable)
            stack.callback(processes.stop, server)
            addresses = own_addresses(sockets, place, redis_url)
        else:
            addresses = given_addresses(given_database, redis_url)
        prepare(addresses, place, given=given_database is not None)
        yield addresses


def own_addresses(sockets: Path, place: Place, redis_url: str) -> Addresses:
    """The addresses of the server that we started ourselves."""
    secrets = secrets_of(place)
    return Addresses(
        app=postgres.url(secrets.app, roles.APP, sockets),
        owner=postgres.url(secrets.owner, roles.OWNER, sockets),
        backup=postgres.url(secrets.backup, roles.BACKUP, sockets),
        admin=postgres.url(secrets.superuser, roles.ADMIN, sockets, "postgres"),
        redis=redis_url,
    )


def given_addresses(app: str, redis_url: str) -> Addresses:
    """The addresses of a server that the environment names."""
    return Addresses(
        app=app,
        owner=os.environ.get("OWNER_DATABASE_URL"),
        backup=os.environ.get("BACKUP_DATABASE_URL"),
        admin=os.environ.get("ADMIN_DATABASE_URL"),
        redis=redis_url,
    )


def prepare(addresses: Addresses, place: Place, *, given: bool) -> None:
    """Make roles and database: always on our own server, on a given one if we have its admin's address."""
    if given:
        if addresses.admin is None:
            return
        given_roles = [address for address in (addresses.app, addresses.owner, addresses.backup) if address]
        roles.make_from_addresses(addresses.admin, given_roles)
        return
    secrets = secrets_of(place)
    if addresses.admin is None:
        raise LocalError("Our own server has no admin's address.")
    roles.make_roles(
        addresses.admin, {roles.OWNER: secrets.owner, roles.APP: secrets.app, roles.BACKUP: secrets.backup}
    )
    roles.make_database(addresses.admin)
