"""Starting the product's processes, stopping them, and finding those that a killed run left behind."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import psutil

from studio.local import interruption
from studio.local.errors import DidNotStart
from studio.local.place import Place, ServerUser

PLACE_VARIABLE = "BILLOWBOOK_PLACE"
SERVER_NAMES = ("postgres", "redis-server")


@dataclass
class Running:
    """One process that we started, and how it is asked to end."""

    name: str
    process: subprocess.Popen[bytes]
    log: Path
    quit_signal: signal.Signals = signal.SIGTERM
    patience_seconds: float = 20.0

    def check(self) -> None:
        """Raise DidNotStart, with the end of its log, if the process has ended."""
        code = self.process.poll()
        if code is not None:
            raise DidNotStart(
                f"{self.name} ended (exit code {code}). The end of {self.log}:\n{tail(self.log)}"
            )


def start(
    name: str,
    command: Sequence[str],
    *,
    place: Place,
    environment: Mapping[str, str],
    user: ServerUser | None = None,
    working_folder: Path | str = "/",
    quit_signal: signal.Signals = signal.SIGTERM,
    patience_seconds: float = 20.0,
    pass_descriptors: Sequence[int] = (),
) -> Running:
    """Start a process in a session of its own, so that a Ctrl-C at the terminal reaches us alone.

    Its output goes to the place's log of that name, which starts anew. `user` is the system user it runs as,
    ourselves if None.
    """
    log = place.log(name)
    with open(log, "wb", opener=private) as output:
        process = subprocess.Popen(
            list(command),
            cwd=working_folder,
            env={**environment, PLACE_VARIABLE: place.mark},
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=subprocess.STDOUT,
            start_new_session=True,
            pass_fds=pass_descriptors,
            user=None if user is None else user.uid,
            group=None if user is None else user.gid,
            extra_groups=None if user is None else [],
        )
    return Running(name, process, log, quit_signal, patience_seconds)


def private(path: str, flags: int) -> int:
    """Open a file that, if it is made now, only its owner can read."""
    return os.open(path, flags, 0o600)


def stop(running: Running) -> None:
    """Ask the process to end, wait as long as it may take, then end what is left of its session."""
    if running.process.poll() is None:
        running.process.send_signal(running.quit_signal)
        with suppress(subprocess.TimeoutExpired):
            running.process.wait(running.patience_seconds)
    # Mostly nobody is left in its session (and macOS answers for a group of zombies with EPERM).
    with suppress(ProcessLookupError, PermissionError):
        os.killpg(running.process.pid, signal.SIGKILL)
    running.process.wait()


def stop_all(started: Iterable[Running]) -> None:
    """Stop the processes one after another, the last started first."""
    for running in reversed(list(started)):
        stop(running)


def stop_left_behind(place: Place) -> list[str]:
    """End every process that an earlier, killed run of this place left behind; gives back their names.

    Call it only while holding the place. A process is the place's own when its environment carries the
    place's mark, or when it is a database or Redis server whose command names the place's folder of data.
    """
    processes = left_behind(place)
    names = sorted({name_of(process) for process in processes} - {""})
    servers = [process for process in processes if name_of(process) in SERVER_NAMES]
    others = [process for process in processes if process not in servers]
    for group in (others, servers):
        end(group)
    return names


def left_behind(place: Place) -> list[psutil.Process]:
    """The living processes of this place that are not ours or above us."""
    own = {os.getpid(), *(parent.pid for parent in psutil.Process().parents())}
    return [
        process for process in psutil.process_iter() if process.pid not in own and belongs(process, place)
    ]


def belongs(process: psutil.Process, place: Place) -> bool:
    """Whether the process was started for this place."""
    try:
        if process.status() == psutil.STATUS_ZOMBIE:
            return False
        if process.name() in SERVER_NAMES and names_folder(process.cmdline(), place.servers):
            return True
        return process.environ().get(PLACE_VARIABLE) == place.mark
    except (psutil.NoSuchProcess, psutil.AccessDenied, OSError):
        return False


def names_folder(command: Sequence[str], folder: Path) -> bool:
    """Whether one of the command's arguments is a path within `folder`."""
    return any(argument.startswith(f"{folder}{os.sep}") for argument in command[1:])


def name_of(process: psutil.Process) -> str:
    """The process's name, or nothing when it is gone."""
    try:
        return process.name()
    except psutil.NoSuchProcess:
        return ""


def end(processes: Sequence[psutil.Process], *, patience_seconds: float = 10.0) -> None:
    """Ask the processes to end (a database server: quickly, but cleanly), then make those that stay."""
    for process in processes:
        send(process, signal.SIGINT if name_of(process) == "postgres" else signal.SIGTERM)
    _, staying = psutil.wait_procs(processes, timeout=patience_seconds)
    for process in staying:
        send(process, signal.SIGKILL)
    psutil.wait_procs(staying, timeout=patience_seconds)


def send(process: psutil.Process, number: signal.Signals) -> None:
    """Send a signal to a process that may have ended meanwhile."""
    with suppress(psutil.NoSuchProcess):
        process.send_signal(number)


def wait_until(ready: Running, answers: Callable[[], bool], *, seconds: float) -> None:
    """Wait until `answers()` is true, raising DidNotStart when the process ends or the time is up."""
    deadline = time.monotonic() + seconds
    while not answers():
        interruption.check()
        ready.check()
        if time.monotonic() > deadline:
            raise DidNotStart(
                f"{ready.name} did not answer within {seconds:.0f} seconds. The end of {ready.log}:\n"
                f"{tail(ready.log)}"
            )
        time.sleep(0.02)


def finish(step: Running) -> None:
    """Wait until the process has done its work; raises DidNotStart when it failed."""
    try:
        while step.process.poll() is None:
            interruption.check()
            time.sleep(0.02)
    finally:
        stop(step)
    if step.process.returncode != 0:
        step.check()


def tail(log: Path, lines: int = 20) -> str:
    """The last lines of a log file, indented."""
    if not log.exists():
        return "    (empty)"
    text = log.read_text(encoding="utf-8", errors="replace").splitlines()[-lines:]
    return "\n".join(f"    {line}" for line in text)
