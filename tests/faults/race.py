"""The race: many processes hold and give back the same few things while processes and the server are killed.

    python -m tests.faults.race                 # 32 processes, 10,000 holds and releases
    python -m tests.faults.race --hands 8 --deeds 800 --restart-every 5

It starts a PostgreSQL of its own that loses nothing when killed, forks the hands (:mod:`tests.faults.race_hands`),
kills one of them every so often with SIGKILL and forks it anew, and ends the server in turn softly, at once
(SIGQUIT) and hard (SIGKILL of the postmaster). Afterwards :mod:`tests.faults.race_checker`, which knows nothing of the
product, reads the ledger, the holds and the log of the answers that the hands were given. Exit code 1 if it finds
anything.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import random
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from studio.local import demo, postgres, processes, redis_server, services
from studio.local.binaries import postgres_programs
from studio.local.place import Place, held, open_place, secrets_of, socket_folder
from tests.faults import race_checker

ENDINGS = (signal.SIGINT, signal.SIGQUIT, signal.SIGKILL)
"""Ways in which the server is ended: sessions broken off in order, at once, and without a word."""
RESTING_SECONDS = 0.3


@dataclass
class Race:
    """How it is run, and what was done to it."""

    hands: int
    deeds: int
    kill_every: float
    restart_every: float
    folder: Path
    chance: random.Random
    kills: int = 0
    restarts: int = 0
    running: dict[int, int] = field(default_factory=dict)
    """Hand by process id."""

    def fork(self, hand: int, work: Callable[[int], None]) -> None:
        """One more process for that hand."""
        pid = os.fork()
        if pid == 0:
            code = 1
            try:
                work(hand)
                code = 0
            except BaseException as failure:  # noqa: BLE001 -- whatever it was, the log has it
                note = {"hand": hand, "kind": "fault", "words": repr(failure)[:500]}
                (self.folder / f"fault-{hand}-{os.getpid()}.json").write_text(json.dumps(note))
            finally:
                os._exit(code)
        self.running[pid] = hand

    def reap(self, work: Callable[[int], None]) -> None:
        """Fork anew whoever was killed; whoever ended by itself is done."""
        while self.running:
            pid, status = os.waitpid(-1, os.WNOHANG)
            if pid == 0:
                return
            hand = self.running.pop(pid, None)
            if hand is not None and os.WIFSIGNALED(status):
                self.fork(hand, work)

    def kill_one(self) -> None:
        """SIGKILL for a hand."""
        with contextlib.suppress(ProcessLookupError):
            os.kill(self.chance.choice(list(self.running)), signal.SIGKILL)
            self.kills += 1


def run(race: Race, work: Callable[[int], None], restart: Callable[[], None]) -> float:
    """Start the hands, hurt them until all are done; how many seconds it took."""
    began = time.monotonic()
    next_kill, next_restart = began + race.kill_every, began + race.restart_every
    for hand in range(race.hands):
        race.fork(hand, work)
    while race.running:
        time.sleep(0.02)
        race.reap(work)
        now = time.monotonic()
        if race.running and now >= next_kill:
            race.kill_one()
            next_kill = now + race.kill_every * race.chance.uniform(0.5, 1.5)
        if race.running and now >= next_restart:
            restart()
            race.restarts += 1
            next_restart = time.monotonic() + race.restart_every
    return time.monotonic() - began


@contextmanager
def _server(
    place: Place,
) -> Iterator[tuple[services.Addresses, list[processes.Running], Callable[[int], None]]]:
    """A durable PostgreSQL and a Redis in ``place``; and a way to end and start the former again."""
    secrets, programs = secrets_of(place), postgres_programs(place)
    place.make_servers_folder()
    with ExitStack() as stack:
        sockets = stack.enter_context(socket_folder(place))
        redis = redis_server.start(place, sockets, durable=False)
        stack.callback(processes.stop, redis)
        current = [postgres.start(place, programs, secrets, sockets, durable=True)]
        stack.callback(lambda: processes.stop(current[0]))
        addresses = services.own_addresses(sockets, place, redis_server.url(sockets / "redis.sock"))
        services.prepare(addresses, place, given=False)

        def again(number: int) -> None:
            ending = ENDINGS[number % len(ENDINGS)]
            current[0].process.send_signal(ending)
            current[0].process.wait(60)
            log = place.log("postgres")
            kept = place.folder / "postgres-earlier.log"
            with kept.open("ab") as earlier:
                earlier.write(log.read_bytes())
            time.sleep(RESTING_SECONDS)
            current[0] = postgres.start(place, programs, secrets, sockets, durable=True)

        yield addresses, current, again


def main() -> int:
    """Run the race as the command line says, check it, and print its figures."""
    options = _options()
    with tempfile.TemporaryDirectory(prefix="race-") as name:
        place = open_place(Path(name) / "place")
        with held(place.folder), _server(place) as (addresses, _, again):
            environment = demo.product_environment(place, addresses, "http://localhost")
            environment |= {"UNPOOLED": "1", "UNHASHED_STATIC": "1"}
            step = demo.manage(place, demo.owner_environment(addresses, environment), "migrate", "--no-input")
            processes.finish(step)
            os.environ.update(environment)
            return _race(options, Path(name), place, addresses, again)


def _race(
    options: argparse.Namespace,
    folder: Path,
    place: Place,
    addresses: services.Addresses,
    again: Callable[[int], None],
) -> int:
    from tests.faults import race_hands

    shelf = race_hands.set_up()
    each = -(-options.deeds // options.hands)
    race = Race(
        options.hands,
        options.deeds,
        options.kill_every,
        options.restart_every,
        folder,
        random.Random(options.seed),  # noqa: S311 -- a repeatable race
    )
    took = run(
        race,
        lambda hand: race_hands.work(shelf, hand, each, folder / f"hand-{hand}.jsonl", options.seed),
        lambda: again(race.restarts),
    )
    said = place.log("postgres").read_text("utf-8", "replace")
    earlier = place.folder / "postgres-earlier.log"
    said += earlier.read_text("utf-8", "replace") if earlier.exists() else ""
    report = race_checker.check(str(addresses.admin).replace("/postgres?", "/billowbook?"), folder)
    report.figures |= {
        "hands": race.hands,
        "seconds": round(took, 1),
        "hands killed": race.kills,
        "server restarts": race.restarts,
        "deadlocks in the server's log": said.count("deadlock detected"),
    }
    for name, value in report.figures.items():
        print(f"{name:>34}: {value}")
    for fault in report.faults[:40]:
        print("FAULT", fault)
    print("Nothing oversold, lost or doubled." if not report.faults else f"{len(report.faults)} faults.")
    return 1 if report.faults else 0


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--hands", type=int, default=32, help="processes at once")
    parser.add_argument("--deeds", type=int, default=10_000, help="holds and releases in all, at least")
    parser.add_argument("--kill-every", type=float, default=0.5, help="seconds between kills of a hand")
    parser.add_argument("--restart-every", type=float, default=20.0, help="seconds between server restarts")
    parser.add_argument("--seed", type=int, default=5)
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
