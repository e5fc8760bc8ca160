"""The embedded services: real servers, started, killed and started again in folders of their own."""

from __future__ import annotations

import os
import shlex
import shutil
import signal
import socket
import stat
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

import psutil
import psycopg
import pytest
import redis

from studio.local import listening, processes, roles
from studio.local.binaries import wheel_redis
from studio.local.errors import LocalError
from studio.local.place import CHECKOUT, LOCAL, held, open_place
from tests.database import drop_database

AS_ROOT = os.geteuid() == 0
ADDRESSES = ("DATABASE_URL", "OWNER_DATABASE_URL", "BACKUP_DATABASE_URL", "ADMIN_DATABASE_URL", "REDIS_URL")


@dataclass
class Services:
    """A `python -m studio.local services` that has printed its addresses."""

    launcher: subprocess.Popen[str]
    addresses: dict[str, str]
    children: list[psutil.Process]

    def ask(self, query: str, name: str = "ADMIN_DATABASE_URL", database: str = "billowbook") -> list[object]:
        """The first column of the answer."""
        with psycopg.connect(self.addresses[name], dbname=database) as connection:
            cursor = connection.execute(query.encode())
            return [row[0] for row in cursor] if cursor.description else []

    def redis(self) -> redis.Redis:
        return redis.Redis.from_url(self.addresses["REDIS_URL"])

    def socket_folder(self) -> Path:
        return Path(str(self.ask("SHOW unix_socket_directories")[0]).strip('"'))

    def end(self, number: signal.Signals) -> int:
        """Send the launcher a signal and wait for its end; its exit code."""
        self.launcher.send_signal(number)
        code = self.launcher.wait(60)
        assert self.launcher.stdout is not None
        self.launcher.stdout.close()
        return code

    def still_alive(self, within_seconds: float = 10) -> list[psutil.Process]:
        return psutil.wait_procs(self.children, timeout=within_seconds)[1]


@contextmanager
def started(*options: str, **environment: str) -> Iterator[Services]:
    """Services of their own, stopped at the end if the test has not done so."""
    launcher = launch(*options, **environment)
    assert launcher.stdout is not None
    addresses: dict[str, str] = {}
    while len(addresses) < len(ADDRESSES):
        line = launcher.stdout.readline()
        if not line:
            raise AssertionError(f"the launcher ended with {launcher.wait(10)} after {addresses}")
        name, value = shlex.split(line)[1].split("=", 1)
        addresses[name] = value
    services = Services(launcher, addresses, psutil.Process(launcher.pid).children(recursive=True))
    try:
        yield services
    finally:
        if launcher.poll() is None:
            services.end(signal.SIGTERM)
        processes.end(services.still_alive(0))


def launch(*options: str, **environment: str) -> subprocess.Popen[str]:
    inherited = {name: value for name, value in os.environ.items() if name not in ADDRESSES}
    return subprocess.Popen(
        [sys.executable, "-m", "studio.local", "services", *options],
        cwd=CHECKOUT,
        env={**inherited, **environment},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    )


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder within the checkout, where the servers' user can go if it can read the checkout at all."""
    LOCAL.mkdir(exist_ok=True)
    made = Path(tempfile.mkdtemp(dir=LOCAL, prefix="place-"))
    made.chmod(0o711)
    yield made / "kept"
    discard(made)


@pytest.fixture(scope="module")
def begun_once() -> Iterator[Path]:
    """A folder whose services have run and ended."""
    LOCAL.mkdir(exist_ok=True)
    made = Path(tempfile.mkdtemp(dir=LOCAL, prefix="begun-"))
    made.chmod(0o711)
    with started("--keep", str(made / "kept")):
        pass
    yield made / "kept"
    discard(made)


@pytest.fixture
def begun(folder: Path, begun_once: Path) -> Path:
    """A copy of that folder: to start its services takes no new data folder. Where they lie elsewhere, a new one."""
    if not (begun_once / "elsewhere").exists():
        subprocess.run(["cp", "-a", begun_once, folder], check=True)
    return folder


def discard(folder: Path) -> None:
    """Delete a folder of services, and what lies elsewhere for it."""
    for note in folder.rglob("elsewhere"):
        shutil.rmtree(note.read_text(encoding="utf-8").strip())
    shutil.rmtree(folder)


# --- Roles -------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def database() -> Iterator[str]:
    """A database on the test run's own server, made as production makes it."""
    name = f"billowbook_roles_{os.getpid()}"
    roles.make_database(os.environ["ADMIN_DATABASE_URL"], name)
    yield name
    drop_database(os.environ["ADMIN_DATABASE_URL"], name)


def connect(role: str, database: str) -> psycopg.Connection:
    return psycopg.connect(os.environ[f"{role}DATABASE_URL"], dbname=database, autocommit=True)


def test_no_role_is_a_superuser_and_only_the_backup_role_may_bypass_row_level_security() -> None:
    with psycopg.connect(os.environ["ADMIN_DATABASE_URL"]) as admin:
        attributes = admin.execute(
            "SELECT rolname, rolsuper, rolbypassrls, rolcreatedb, rolcreaterole, rolreplication, rolcanlogin "
            "FROM pg_roles WHERE rolname LIKE 'billowbook%' ORDER BY rolname"
        ).fetchall()
    assert attributes == [
        (roles.APP, False, False, False, False, False, True),
        (roles.BACKUP, False, True, False, False, False, True),
        (roles.OWNER, False, False, False, False, False, True),
    ]


def test_the_app_reads_and_writes_what_the_owner_made_and_changes_no_table(database: str) -> None:
    with connect("OWNER_", database) as owner:
        owner.execute("CREATE TABLE frame (id bigint GENERATED BY DEFAULT AS IDENTITY, name text)")
    with connect("", database) as app:
        app.execute("INSERT INTO frame (name) VALUES ('arch')")
        app.execute("UPDATE frame SET name = 'nested arch'")
        assert app.execute("SELECT id, name FROM frame").fetchall() == [(1, "nested arch")]
        app.execute("DELETE FROM frame")
        for forbidden in (
            "TRUNCATE frame",
            "ALTER TABLE frame DISABLE ROW LEVEL SECURITY",
            "DROP TABLE frame",
            "CREATE TABLE own (id int)",
            "CREATE SCHEMA own",
            f"SET ROLE {roles.OWNER}",
        ):
            with pytest.raises(psycopg.errors.InsufficientPrivilege, match=r"denied|must be owner"):
                app.execute(forbidden.encode())
        owned = app.execute("SELECT count(*) FROM pg_class WHERE relowner = current_user::regrole").fetchone()
    assert owned == (0,)


def test_the_backup_role_reads_past_row_level_security_and_writes_nothing(database: str) -> None:
    with connect("OWNER_", database) as owner:
        owner.execute("CREATE TABLE cover (name text)")
        owner.execute("INSERT INTO cover VALUES ('ivory')")
        owner.execute("ALTER TABLE cover ENABLE ROW LEVEL SECURITY")
        owner.execute("ALTER TABLE cover FORCE ROW LEVEL SECURITY")
        assert owner.execute("SELECT name FROM cover").fetchall() == []
    with connect("BACKUP_", database) as backup:
        assert backup.execute("SELECT name FROM cover").fetchall() == [("ivory",)]
        backup.execute("SET default_transaction_read_only = off")
        with pytest.raises(psycopg.errors.InsufficientPrivilege, match="permission denied for table cover"):
            backup.execute("INSERT INTO cover VALUES ('slate')")


def test_running_the_role_setup_again_takes_back_what_was_widened_by_hand() -> None:
    admin_url = os.environ["ADMIN_DATABASE_URL"]
    with psycopg.connect(admin_url, autocommit=True) as admin:
        admin.execute(f"ALTER ROLE {roles.APP} CREATEDB BYPASSRLS".encode())
        roles.make_roles(admin_url, {})
        app = admin.execute(
            "SELECT rolcreatedb, rolbypassrls FROM pg_roles WHERE rolname = %s", [roles.APP]
        ).fetchone()
    assert app == (False, False)


def test_a_strange_role_in_an_address_is_refused_by_name() -> None:
    with pytest.raises(LocalError, match="not somebody"):
        roles.make_from_addresses(
            os.environ["ADMIN_DATABASE_URL"], ["postgresql://somebody:x@localhost/billowbook"]
        )


# --- Starting ----------------------------------------------------------------------------------------------


def test_the_servers_listen_on_no_port_and_do_not_run_as_root(folder: Path) -> None:
    with started("--keep", str(folder)) as services:
        servers = psutil.Process(services.launcher.pid).children()
        assert {server.name() for server in servers} == {"postgres", "redis-server"}
        assert [server for server in servers if server.net_connections(kind="inet")] == []
        assert services.ask("SHOW listen_addresses") == [""]
        assert services.redis().config_get("port") == {"port": "0"}
        assert services.redis().config_get("maxmemory-policy") == {"maxmemory-policy": "noeviction"}
        assert 0 not in {server.uids().real for server in servers}


def test_only_those_who_know_a_password_get_in(begun: Path) -> None:
    with started("--keep", str(begun)) as services:
        wrong = services.addresses["DATABASE_URL"].replace(roles.APP + ":", roles.APP + ":x")
        with pytest.raises(psycopg.OperationalError, match="password authentication failed"):
            psycopg.connect(wrong)
        assert stat.S_IMODE((begun / "secrets.json").stat().st_mode) == 0o600
        sockets = services.socket_folder()
        assert stat.S_IMODE(sockets.stat().st_mode) == 0o700


def test_letters_beyond_ascii_have_upper_and_lower_case(begun: Path) -> None:
    with started("--keep", str(begun)) as services:
        assert services.ask("SELECT lower('ÄRGER') || upper('é')") == ["ärgerÉ"]


def test_a_given_server_is_used_instead_of_one_of_our_own(folder: Path) -> None:
    given = {name: os.environ[name] for name in ADDRESSES}
    with started("--keep", str(folder), **given) as services:
        assert services.addresses == given
        assert services.children == []


def test_the_redis_that_the_wheel_carries_serves_as_well(begun: Path) -> None:
    with started("--keep", str(begun), BILLOWBOOK_REDIS_SERVER=str(wheel_redis())) as services:
        assert services.redis().info()["redis_version"].startswith("6.2.")
        assert services.redis().config_get("port") == {"port": "0"}


def test_a_named_postgresql_that_is_not_there_is_said_plainly(folder: Path) -> None:
    launcher = launch("--keep", str(folder), BILLOWBOOK_POSTGRES_BIN="/nowhere/bin")
    output, _ = launcher.communicate(timeout=30)
    assert launcher.returncode == 1
    assert "There is no program `postgres` in /nowhere/bin" in output
    assert "Traceback" not in output


def test_a_folder_that_the_servers_user_cannot_reach_keeps_its_permissions(tmp_path: Path) -> None:
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o700)
    before = {path: path.stat().st_mode for path in (closed, *closed.parents)}
    try:
        with started("--keep", str(closed / "kept")) as services:
            assert services.ask("SELECT 1") == [1]
        assert {path: path.stat().st_mode for path in before} == before
        if AS_ROOT:
            elsewhere = Path((closed / "kept" / "elsewhere").read_text(encoding="utf-8").strip())
            assert (elsewhere / "redis-7").is_dir() or (elsewhere / "redis-6").is_dir()
            assert closed not in elsewhere.parents
    finally:
        discard(closed)


def test_a_folder_with_a_long_name_and_spaces_gets_its_sockets_in_a_short_one(folder: Path) -> None:
    long = folder / ("a long name " * 8).strip() / "kept"
    with started("--keep", str(long)) as services:
        assert services.ask("SELECT 1") == [1]
        assert services.redis().ping()
        short = services.socket_folder()
        assert long not in short.parents
    assert not short.exists()


def test_a_command_runs_beside_the_services_and_gives_its_exit_code() -> None:
    script = "import os, psycopg; psycopg.connect(os.environ['DATABASE_URL']); raise SystemExit(7)"
    launcher = launch("--", sys.executable, "-c", script)
    output, _ = launcher.communicate(timeout=60)
    assert launcher.returncode == 7, output


# --- Stopping ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_an_orderly_stop_leaves_no_process_and_keeps_the_data(begun: Path, number: signal.Signals) -> None:
    with started("--keep", str(begun)) as services:
        services.ask("CREATE TABLE kept AS SELECT 42 AS answer")
        services.redis().set("queue", "full")
        assert services.end(number) == 0
        assert services.still_alive(0) == []
    with started("--keep", str(begun)) as services:
        assert services.ask("SELECT answer FROM kept") == [42]
        assert services.redis().get("queue") == b"full"
        log = (begun / "postgres.log").read_text(encoding="utf-8")
        assert "was not properly shut down" not in log


def test_after_a_killed_launcher_the_next_run_takes_over_with_all_data(begun: Path) -> None:
    with started("--keep", str(begun)) as services:
        services.ask("CREATE TABLE kept AS SELECT 42 AS answer")
        services.end(signal.SIGKILL)
        assert services.still_alive(0.5) != [], "the servers of a killed launcher live on"
        with started("--keep", str(begun)) as following:
            assert services.still_alive() == [], "the next run has ended them"
            assert following.ask("SELECT answer FROM kept") == [42]


def test_what_a_killed_run_left_behind_is_named_when_it_is_stopped(begun: Path) -> None:
    with started("--keep", str(begun)) as services:
        services.end(signal.SIGKILL)
        place = open_place(begun)
        with held(begun):
            assert processes.stop_left_behind(place) == ["postgres", "redis-server"]
            assert processes.stop_left_behind(place) == []
        assert services.still_alive(0) == []


def test_after_killed_servers_the_next_run_recovers_what_was_committed(begun: Path) -> None:
    with started("--keep", str(begun)) as services:
        services.ask("CREATE TABLE kept AS SELECT 42 AS answer")
        services.end(signal.SIGKILL)
        for child in services.still_alive(0):
            processes.send(child, signal.SIGKILL)
    with started("--keep", str(begun)) as following:
        assert following.ask("SELECT answer FROM kept") == [42]
        assert "was not properly shut down" in (begun / "postgres.log").read_text(encoding="utf-8")


def test_a_stale_lock_file_with_a_living_strangers_number_does_not_block(begun: Path) -> None:
    with started("--keep", str(begun)) as services:
        data = Path(str(services.ask("SHOW data_directory")[0]))
        lock = (data / "postmaster.pid").read_text(encoding="utf-8")
        assert services.end(signal.SIGTERM) == 0
    stranger = subprocess.Popen(["sleep", "60"])
    try:
        lines = lock.splitlines()
        (data / "postmaster.pid").write_text(
            "\n".join([str(stranger.pid), *lines[1:]]) + "\n", encoding="utf-8"
        )
        with started("--keep", str(begun)) as services:
            assert services.ask("SELECT 1") == [1]
        assert stranger.poll() is None, "the stranger is left alone"
    finally:
        stranger.kill()
        stranger.wait()


def test_a_second_run_of_the_same_folder_says_so_and_harms_nothing(begun: Path) -> None:
    with started("--keep", str(begun)) as services:
        second = launch("--keep", str(begun))
        output, _ = second.communicate(timeout=30)
        assert second.returncode == 1
        assert "in use by another process" in output
        assert "Traceback" not in output
        assert services.ask("SELECT 1") == [1]


def test_passing_services_of_a_killed_run_are_swept_and_those_of_a_living_one_are_not() -> None:
    with started() as living, started() as killed:
        remains = run_folder(killed)
        killed.end(signal.SIGKILL)
        os.utime(remains, (0, 0))  # a young folder is left alone: its run may not have locked it yet
        with started() as third:
            assert killed.still_alive() == []
            assert not remains.exists()
            assert living.ask("SELECT 1") == [1]
            assert third.ask("SELECT 1") == [1]
        living_folder = run_folder(living)
        assert living.end(signal.SIGINT) == 0
        assert living.still_alive(0) == []
        assert not living_folder.exists()


def run_folder(services: Services) -> Path:
    """The folder of passing services, known by their secrets."""
    password = urlsplit(services.addresses["DATABASE_URL"]).password
    assert password
    folders = (path for path in (LOCAL / "runs").iterdir() if (path / "secrets.json").exists())
    return next(path for path in folders if password in (path / "secrets.json").read_text(encoding="utf-8"))


# --- Ports -------------------------------------------------------------------------------------------------


def test_a_taken_port_gives_the_next_free_one() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        wished = taken.getsockname()[1]
        with listening.listen(wished) as sockets:
            assert wished < listening.port_of(sockets) < wished + listening.TRIES


@pytest.mark.skipif(not listening.has_ipv6(), reason="this machine has no ::1")
def test_a_port_taken_on_the_other_address_of_localhost_counts_as_taken() -> None:
    with socket.create_server(("::1", 0), family=socket.AF_INET6) as taken:
        wished = taken.getsockname()[1]
        with listening.listen(wished) as sockets:
            assert listening.port_of(sockets) != wished


def test_the_web_server_listens_on_this_machine_only() -> None:
    with listening.listen(0) as sockets:
        assert {listener.getsockname()[0] for listener in sockets} <= {"127.0.0.1", "::1"}
