"""Where one set of services keeps its data, and as which system user its servers run.

PostgreSQL refuses to run as root. Where we are root its files therefore belong to another user, who must be
able to walk to them. We never open a folder that we did not make: when the checkout lies where that user
cannot go (a root-only home, say), the servers' files live under /var/lib/billowbook instead.
"""

from __future__ import annotations

import fcntl
import json
import os
import pwd
import secrets
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from studio.local.errors import AlreadyRunning, LocalError

CHECKOUT = Path(__file__).resolve().parents[2]
LOCAL = CHECKOUT / ".local"
ELSEWHERE = Path("/var/lib/billowbook")

# sockaddr_un.sun_path holds 104 bytes on macOS and 108 on Linux, the closing zero included.
LONGEST_SOCKET_PATH = 103
LONGEST_SOCKET_NAME = len("/.s.PGSQL.5432.lock")


@dataclass(frozen=True)
class ServerUser:
    """The system user that the servers run as where we ourselves are root."""

    name: str
    uid: int
    gid: int


@dataclass(frozen=True)
class Secrets:
    """What was drawn once for this place and stays the same as long as its data does."""

    secret_key: str
    superuser: str
    owner: str
    app: str
    backup: str


@dataclass(frozen=True)
class Place:
    """One set of services: `folder` is ours alone, `servers` belongs to the user the servers run as."""

    folder: Path
    servers: Path
    user: ServerUser | None

    @property
    def mark(self) -> str:
        """The value of BILLOWBOOK_PLACE in the environment of every process started for this place."""
        return str(self.folder)

    def log(self, name: str) -> Path:
        """The file that the process of this name writes to."""
        return self.folder / f"{name}.log"

    def make_servers_folder(self) -> None:
        """Make the folder for the servers' files, and note where it is when it lies elsewhere."""
        make_folder(self.servers, self.user)
        if self.folder not in self.servers.parents:
            (self.folder / "elsewhere").write_text(f"{self.servers}\n", encoding="utf-8")

    def owned_folder(self, path: Path) -> Path:
        """Make `path` if need be, as a folder of the server user that nobody else can enter."""
        path.mkdir(exist_ok=True)
        if self.user is not None:
            os.chown(path, self.user.uid, self.user.gid)
        path.chmod(0o700)
        return path


def open_place(folder: Path) -> Place:
    """The place at `folder`, made where it is new."""
    user = server_user()
    make_folder(folder, user)
    return Place(folder=folder, servers=servers_folder(folder, user), user=user)


def make_folder(folder: Path, user: ServerUser | None) -> None:
    """Make the folder and the parents that it lacks; the servers' user may walk through, not look around.

    A folder that exists already keeps the permissions it has.
    """
    missing = [path for path in (folder, *folder.parents) if not path.exists()]
    for path in reversed(missing):
        path.mkdir(exist_ok=True)
        path.chmod(0o700 if user is None else 0o711)


def server_user() -> ServerUser | None:
    """`nobody` where we are root; None where the servers can run as ourselves."""
    if os.geteuid() != 0:
        return None
    try:
        entry = pwd.getpwnam("nobody")
    except KeyError:
        raise LocalError(
            "PostgreSQL does not run as root, and this system has no user `nobody` to run it as. "
            "Start this as an ordinary user instead."
        ) from None
    return ServerUser(name="nobody", uid=entry.pw_uid, gid=entry.pw_gid)


def reachable(path: Path, user: ServerUser | None) -> bool:
    """Whether `user` can walk to `path` and into (or run) it, as the system itself answers."""
    if user is None:
        return True
    test = shutil.which("test", path="/usr/bin:/bin")
    if test is None:
        raise LocalError("This system has no `test` program in /usr/bin or /bin.")
    answer = subprocess.run(
        [test, "-x", str(path)], user=user.uid, group=user.gid, extra_groups=[], cwd="/", check=False
    )
    return answer.returncode == 0


def servers_folder(folder: Path, user: ServerUser | None) -> Path:
    """Where the servers' own files go: within `folder`, or elsewhere when their user cannot get there."""
    note = folder / "elsewhere"
    if note.exists():
        return Path(note.read_text(encoding="utf-8").strip())
    if reachable(folder, user):
        return folder / "servers"
    return ELSEWHERE / secrets.token_hex(8)


def discard(place: Place) -> None:
    """Delete all that the place holds, save the lock that its user may hold at this moment."""
    if place.servers.exists():
        shutil.rmtree(place.servers)
    for path in place.folder.iterdir():
        if path.name == "lock":
            continue
        if path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink()


@contextmanager
def held(folder: Path) -> Iterator[None]:
    """Keep the place to ourselves; the system drops the lock by itself when we die, however we die.

    Raises AlreadyRunning when another live process has it.
    """
    with (folder / "lock").open("a", encoding="utf-8") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise AlreadyRunning(f"The services in {folder} are in use by another process.") from None
        yield


def secrets_of(place: Place) -> Secrets:
    """The place's secrets, drawn at its first use and readable by its owner only."""
    path = place.folder / "secrets.json"
    if not path.exists():
        drawn = {name: secrets.token_hex(32) for name in Secrets.__dataclass_fields__}
        write_private(path, json.dumps(drawn, indent=1))
    return Secrets(**json.loads(path.read_text(encoding="utf-8")))


def write_private(path: Path, text: str) -> None:
    """Write a file that only its owner can read, whole or not at all."""
    descriptor, name = tempfile.mkstemp(dir=path.parent, prefix=path.name)
    with os.fdopen(descriptor, "w", encoding="utf-8") as file:
        file.write(text)
    Path(name).replace(path)


@contextmanager
def socket_folder(place: Place) -> Iterator[Path]:
    """A folder for the servers' sockets whose name is short enough for one, empty at the start."""
    beside = place.servers / "sockets"
    if len(os.fsencode(beside)) + LONGEST_SOCKET_NAME <= LONGEST_SOCKET_PATH:
        if beside.exists():
            shutil.rmtree(beside)
        yield place.owned_folder(beside)
        return
    short = Path(tempfile.mkdtemp(prefix="billowbook-", dir="/tmp"))
    try:
        yield place.owned_folder(short)
    finally:
        shutil.rmtree(short, ignore_errors=True)
