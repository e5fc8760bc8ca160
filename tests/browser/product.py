"""The running product for browser tests: the real web server, worker, PostgreSQL and Redis, with the demo's studios."""

from __future__ import annotations

import fcntl
import os
import signal
import socket
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import psycopg

from studio.local import demo, listening, processes, redis_server
from studio.local.place import Place, open_place, socket_folder
from studio.local.services import Addresses
from tests import database
from tests.services_plugin import HASHED_STATIC_ROOT

RUNNING_AT = "BILLOWBOOK_SITE"


class Web:
    """The web server, which can be killed in the midst of its work and started again where it listened."""

    def __init__(self, place: Place, environment: dict[str, str], sockets: list[socket.socket]) -> None:
        self.place, self.environment, self.sockets = place, environment, sockets
        self.running = self._started()

    def start(self) -> None:
        """Start it again and wait until it answers."""
        self.running = self._started()
        self.wait()

    def wait(self) -> None:
        """Until it answers."""
        port = listening.port_of(self.sockets)
        processes.wait_until(self.running, lambda: demo.web_answers(port), seconds=demo.WEB_SECONDS)

    def kill(self) -> None:
        """SIGKILL to the server and each of its workers: nothing is finished, nothing is said."""
        os.killpg(self.running.process.pid, signal.SIGKILL)
        self.running.process.wait()

    def stop(self) -> None:
        """Ask it to end, as a new release does."""
        processes.stop(self.running)

    def _started(self) -> processes.Running:
        return demo.start_web(self.place, self.environment, [each.fileno() for each in self.sockets])


@dataclass(frozen=True)
class Product:
    """Where it answers, and where its e-mails are put."""

    site: str
    mail: Path
    web: Web | None = None
    """None where a product is used that somebody else started."""
    environment: Mapping[str, str] = field(default_factory=dict)
    """The settings it runs under; empty where somebody else started it."""

    def connect_backup(self) -> psycopg.Connection[tuple[Any, ...]]:
        """A connection to its database by the backup role, which reads the rows of every studio."""
        return psycopg.connect({**os.environ, **self.environment}["BACKUP_DATABASE_URL"])

    def letters(self) -> list[str]:
        """Every e-mail that the worker has sent so far, oldest first."""
        return [
            path.read_text("utf-8") for path in sorted(self.mail.glob("*"), key=lambda p: p.stat().st_mtime)
        ]


@contextmanager
def running(
    capacity: int = 1, *, database_name: str | None = None, awaits_stills: bool = False
) -> Iterator[Product]:
    """Start web and worker on the servers that the test run has started; stop them at the end.

    ``capacity`` is WEB_CAPACITY: how much one person may use at once. A database that is named has the demo already;
    without a name the product's own is brought up to date. ``awaits_stills``: pages ask for lifelike pictures where
    no renderer is installed as well, and no worker makes them.

    With BILLOWBOOK_SITE and MAIL_FOLDER set, a product that runs already is used.
    """
    if site := os.environ.get(RUNNING_AT):
        yield Product(site, Path(os.environ["MAIL_FOLDER"]))
        return
    with tempfile.TemporaryDirectory() as folder, ExitStack() as stack:
        place = open_place(Path(folder) / "product")
        sockets = stack.enter_context(listening.listen(0))
        site = f"http://localhost:{listening.port_of(sockets)}"
        addresses = _given() if database_name is None else stack.enter_context(_apart(place, database_name))
        environment = demo.product_environment(place, addresses, site)
        for name in ("UNPOOLED", "UNHASHED_STATIC"):  # the tests' own shortcuts; the product runs as it is
            environment.pop(name, None)
        environment["WEB_CAPACITY"] = str(capacity)
        if database_name is None:
            demo.bring_up_to_date(place, addresses, environment, lambda line: None)
        else:
            environment["STATIC_ROOT"] = os.environ[HASHED_STATIC_ROOT]
            _gather_static_files(place, environment)
        workers = demo.start_workers(place, environment)
        for worker in workers:
            stack.callback(processes.stop, worker)
        if awaits_stills:
            environment["STILLS"] = "1"
        web = Web(place, environment, sockets)
        stack.callback(web.stop)
        web.wait()
        demo.wait_for_workers(workers)
        try:
            yield Product(site, Path(environment["MAIL_FOLDER"]), web, environment)
        finally:
            _keep_logs(place)


def adopt(addresses: Addresses) -> None:
    """Run on these servers, outside of a test run."""
    os.environ.update(addresses.environment())


def _given() -> Addresses:
    return Addresses(
        app=os.environ["DATABASE_URL"],
        owner=os.environ["OWNER_DATABASE_URL"],
        backup=os.environ["BACKUP_DATABASE_URL"],
        admin=os.environ["ADMIN_DATABASE_URL"],
        redis=os.environ["REDIS_URL"],
    )


@contextmanager
def _apart(place: Place, database_name: str) -> Iterator[Addresses]:
    """That database, and a Redis of this product's own: its worker takes no other product's tasks."""
    place.make_servers_folder()
    with socket_folder(place) as sockets:
        redis = redis_server.start(place, sockets, durable=False)
        try:
            yield Addresses(
                app=database.url_of(database_name),
                owner=database.url_of(database_name, "OWNER_DATABASE_URL"),
                backup=database.url_of(database_name, "BACKUP_DATABASE_URL"),
                admin=os.environ["ADMIN_DATABASE_URL"],
                redis=redis_server.url(sockets / "redis.sock"),
            )
        finally:
            processes.stop(redis)


def _gather_static_files(place: Place, environment: Mapping[str, str]) -> None:
    """Gather and compress them, unless another product of this run has."""
    folder = Path(environment["STATIC_ROOT"])
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (folder / "staticfiles.json").exists():
            processes.finish(demo.manage(place, environment, "collectstatic", "--no-input"))


def _keep_logs(place: Place) -> None:
    """What web and worker said, for whoever looks into a failure."""
    kept = Path(".local") / "browser-logs"
    kept.mkdir(parents=True, exist_ok=True)
    for log in place.folder.glob("**/*.log"):
        (kept / log.name).write_bytes(log.read_bytes())
