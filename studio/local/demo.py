"""`make demo`: the whole product on this machine, with the demo's studios, until Ctrl-C."""

from __future__ import annotations

import hashlib
import http.client
import importlib.util
import os
import shlex
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import ExitStack
from functools import partial
from pathlib import Path
from urllib.parse import urlsplit

from studio.local import interruption, listening, processes
from studio.local.binaries import postgres_programs
from studio.local.errors import AlreadyRunning, LocalError
from studio.local.place import CHECKOUT, Place, secrets_of, write_private
from studio.local.services import Addresses, kept_services
from studio.local.system_packages import bring_pdf_libraries

WEB_SECONDS = 60.0
WORKER_SECONDS = 60.0


def demo(folder: Path, *, port: int, fresh: bool) -> int:
    """Start everything, print the address and the sign-ins, and stay until asked to stop; the exit code."""
    started = time.monotonic()

    def progress(line: str) -> None:
        print(f"[{time.monotonic() - started:5.1f} s] {line}", flush=True)

    with interruption.interruptible():
        try:
            bring_pdf_libraries(progress)
            with kept_services(folder, progress=progress, fresh=fresh) as (place, addresses):
                serve(place, addresses, port=port, progress=progress)
        except interruption.Interrupted:
            print("Everything that this demo started has ended. The data is kept.", flush=True)
        except AlreadyRunning:
            raise LocalError(already_running(folder)) from None
    return 0


def already_running(folder: Path) -> str:
    """What to say when the demo of this folder runs in another terminal."""
    note = folder / "address"
    where = f" at {note.read_text(encoding='utf-8').strip()}" if note.exists() else ""
    return f"The demo already runs{where}, in another terminal. Stop it there with Ctrl-C first."


def serve(place: Place, addresses: Addresses, *, port: int, progress: Callable[[str], None]) -> None:
    """Bring the database up to date, start web and worker, and watch over them until interrupted."""
    with ExitStack() as stack:
        sockets = stack.enter_context(listening.listen(port))
        chosen = listening.port_of(sockets)
        if port not in (0, chosen):
            progress(f"Port {port} is taken by another program; using {chosen}")
        site = f"http://localhost:{chosen}"
        environment = product_environment(place, addresses, site)
        bring_up_to_date(place, addresses, environment, progress)
        progress("Starting web and worker")
        workers = start_workers(place, environment)
        for worker in workers:
            stack.callback(processes.stop, worker)
        web = start_web(place, environment, [socket.fileno() for socket in sockets])
        stack.callback(processes.stop, web)
        processes.wait_until(web, lambda: web_answers(chosen), seconds=WEB_SECONDS)
        wait_for_workers(workers)
        keep_notes(place, environment, site)
        stack.callback((place.folder / "address").unlink)
        progress("Ready")
        print(f"\nBillowbook runs at {site}\n\n{sign_ins(place, addresses)}", flush=True)
        print(f"\nStop it with Ctrl-C. E-mail it would send lies in {environment['MAIL_FOLDER']}", flush=True)
        while True:
            interruption.wait(0.5)
            for running in (web, *workers):
                running.check()


def product_environment(place: Place, addresses: Addresses, site: str) -> dict[str, str]:
    """What the product's settings read, for http on this machine only."""
    inherited = {name: value for name, value in os.environ.items() if not name.startswith(("PG", "DJANGO_"))}
    return {
        **inherited,
        **addresses.environment(),
        "DJANGO_SETTINGS_MODULE": "studio.settings",
        "PYTHONUNBUFFERED": "1",
        "SECRET_KEY": secrets_of(place).secret_key,
        "DEBUG": "0",
        "DEMO": "1",
        "PLAIN_HTTP": "1",
        "ALLOWED_HOSTS": "localhost,127.0.0.1,[::1]",
        "SITE_URL": site,
        "MAIL_FOLDER": str(place.folder / "mail"),
        "STATIC_ROOT": str(place.folder / "static"),
        "STILLS": "1" if has_renderer() else "0",
    }


def has_renderer() -> bool:
    """Whether lifelike pictures can be made here: ``requirements/render.txt`` is an extra."""
    return importlib.util.find_spec("pyluxcore") is not None


def owner_environment(addresses: Addresses, environment: Mapping[str, str]) -> dict[str, str]:
    """The same, as the role that may change tables."""
    if addresses.owner is None:
        raise LocalError("Set OWNER_DATABASE_URL beside DATABASE_URL: the tables are made as their owner.")
    return {**environment, "DATABASE_URL": addresses.owner, "BILLOWBOOK_AS_OWNER": "1", "UNPOOLED": "1"}


def bring_up_to_date(
    place: Place, addresses: Addresses, environment: Mapping[str, str], progress: Callable[[str], None]
) -> None:
    """Migrate, gather the static files, and load the demo's studios the first time."""
    progress("Bringing the database and the static files up to date")
    steps = [
        manage(place, owner_environment(addresses, environment), "migrate", "--no-input"),
        manage(place, environment, "collectstatic", "--no-input"),
    ]
    try:
        for step in steps:
            processes.finish(step)
    finally:
        processes.stop_all(steps)
    loaded = loaded_note(place, addresses)
    if not loaded.exists():
        progress("Loading the demo's studios (the first time only)")
        # The demo's offers go out without lifelike pictures: rendering them all would take half an hour.
        processes.finish(manage(place, {**environment, "STILLS": "0"}, "load_demo"))
        listing = manage(place, environment, "load_demo", "--sign-ins")
        processes.finish(listing)
        write_private(loaded, listing.log.read_text(encoding="utf-8"))


def manage(place: Place, environment: Mapping[str, str], *arguments: str) -> processes.Running:
    """Start one of the project's commands."""
    return processes.start(
        arguments[0],
        [sys.executable, "manage.py", *arguments],
        place=place,
        environment=environment,
        working_folder=CHECKOUT,
    )


def loaded_note(place: Place, addresses: Addresses) -> Path:
    """The file that says the demo's studios are in this very database, and who can sign in."""
    parts = urlsplit(addresses.app)
    given = f"{parts.hostname}:{parts.port}{parts.path}?{parts.query}"
    where = given if "DATABASE_URL" in os.environ else f"own, version {own_version(place)}"
    return place.folder / f"loaded-{hashlib.sha256(where.encode()).hexdigest()[:12]}.txt"


def own_version(place: Place) -> int:
    """The major version of our own server: each keeps its data apart."""
    return postgres_programs(place).major


def sign_ins(place: Place, addresses: Addresses) -> str:
    """Who can sign in to the demo's studios."""
    return loaded_note(place, addresses).read_text(encoding="utf-8").strip()


def start_workers(place: Place, environment: Mapping[str, str]) -> list[processes.Running]:
    """Start the worker, which also keeps the clock (beat) on this one machine, and those for what takes its time."""
    schedule = place.folder / "beat-schedule"
    quick = ["--queues=celery", "--concurrency=2", "--beat", f"--schedule={schedule}"]
    heavy = ["--queues=heavy", "--concurrency=1"]
    started = [
        _start_worker("worker", place, environment, options=quick),
        _start_worker("heavy-worker", place, environment, options=heavy, before=["nice", "-n", "19"]),
    ]
    if environment["STILLS"] == "1":
        stills = ["--queues=stills", "--concurrency=1"]
        started.append(_start_worker("stills-worker", place, environment, options=stills))
    return started


def _start_worker(
    name: str,
    place: Place,
    environment: Mapping[str, str],
    *,
    options: Sequence[str],
    before: Sequence[str] = (),
) -> processes.Running:
    celery = [
        *before,
        sys.executable,
        "-m",
        "celery",
        "-A",
        "studio.celery",
        "worker",
        f"--hostname={name}@%h",
    ]
    return processes.start(
        name,
        [*celery, *options, "--loglevel=INFO", "--without-gossip", "--without-mingle"],
        place=place,
        environment={**environment, "UNPOOLED": "1"},
        working_folder=CHECKOUT,
    )


def start_web(place: Place, environment: Mapping[str, str], descriptors: list[int]) -> processes.Running:
    """Start the web server on sockets that already listen."""
    binds = [part for descriptor in descriptors for part in ("--bind", f"fd://{descriptor}")]
    command = ["gunicorn", "--config=gunicorn.conf.py", *binds]
    return processes.start(
        "web",
        [sys.executable, "-m", *command, "--graceful-timeout=5"],
        place=place,
        environment=environment,
        working_folder=CHECKOUT,
        pass_descriptors=descriptors,
    )


def web_answers(port: int) -> bool:
    """Whether the front page answers; raises LocalError when it answers with an error of the server."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    try:
        connection.request("GET", "/", headers={"Host": f"localhost:{port}"})
        status = connection.getresponse().status
    except OSError:
        return False
    finally:
        connection.close()
    if status >= 500:
        raise LocalError(f"The front page answers with error {status}; web.log says why.")
    return True


def wait_for_workers(workers: Sequence[processes.Running]) -> None:
    """Return once each of them has said that it takes tasks."""
    for worker in workers:
        processes.wait_until(worker, partial(_is_ready, worker), seconds=WORKER_SECONDS)


def _is_ready(worker: processes.Running) -> bool:
    return " ready." in worker.log.read_text(encoding="utf-8", errors="replace")


def keep_notes(place: Place, environment: Mapping[str, str], site: str) -> None:
    """Write down the address, and the environment for `manage.py` beside the running demo."""
    (place.folder / "address").write_text(f"{site}\n", encoding="utf-8")
    ours = {name: value for name, value in environment.items() if os.environ.get(name) != value}
    lines = [f"export {name}={shlex.quote(value)}\n" for name, value in sorted(ours.items())]
    write_private(place.folder / "environment", "".join(lines))
