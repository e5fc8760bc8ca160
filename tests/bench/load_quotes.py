"""Many owners editing quotes at once, against the real web server: ``python -m tests.bench.load_quotes``.

Starts the product as production runs it (gunicorn, PostgreSQL, Redis, workers), gives every owner a quote of about 300
balloons and a session, and lets each change it again and again, with the pulse that an open page sends beside it and,
at some, a client who looks along. With ``--beside`` another studio works by turns, so that edits with and without it
are from the same minutes. Prints how long edits took as the browser sees them, and what went wrong. Asking and
answering share the cores.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import re
import statistics
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from typing import Final

from studio.local.services import passing_services
from tests.bench import load_beside
from tests.bench.load_beside import Neighbour
from tests.bench.load_browser import Fields, LoadBrowser, fields
from tests.bench.load_desks import Desk, make_desks
from tests.browser import product

STUDIO, OTHER_STUDIO = "wickerlark", "federkorn"
READY: Final = "ready"
WARM_SECONDS: Final = 6
"""What is asked first pays for modules and templates that are loaded once."""
TURN_SECONDS: Final = 10
"""The other studio works for so long, then rests for as long."""
LOOK_SECONDS: Final = 0.7
PULSE_SECONDS: Final = 2.0


@dataclass
class Figures:
    """What was measured, by all owners together; each edit with when it began."""

    edits: list[tuple[float, float]] = field(default_factory=list)
    pulses: list[float] = field(default_factory=list)
    looks: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    size: int = 0
    lock: threading.Lock = field(default_factory=threading.Lock)


@dataclass(frozen=True)
class Spread:
    """How long things took, in milliseconds."""

    count: int
    median: float
    p95: float
    longest: float

    @classmethod
    def of(cls, seconds: list[float]) -> Spread:
        """Of so many times; a single one stands for all."""
        cuts = statistics.quantiles(seconds * (1 if len(seconds) > 1 else 2) or [0, 0], n=20)
        return cls(len(seconds), 1000 * cuts[9], 1000 * cuts[18], 1000 * max(seconds, default=0))

    def __str__(self) -> str:
        return (
            f"{self.count}, median {self.median:.0f} ms, p95 {self.p95:.0f} ms, longest {self.longest:.0f} ms"
        )


@dataclass(frozen=True)
class Run:
    """When a run began and ends, and whether the other studio works just now."""

    began: float
    seconds: float

    def is_on(self) -> bool | None:
        """Whether it is the other studio's turn; None once the run is over."""
        now = time.monotonic()
        return None if now > self.began + self.seconds else self.is_turn(now)

    def is_turn(self, moment: float) -> bool:
        """Whether that moment is in a turn of the other studio."""
        return int((moment - self.began) / TURN_SECONDS) % 2 == 1


def main() -> int:
    """Run it; 1 where anything went wrong."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--owners", type=int, default=50)
    asked.add_argument("--seconds", type=float, default=30)
    asked.add_argument("--pause", type=float, default=4, help="seconds between an answer and the next edit")
    asked.add_argument("--looking", type=int, default=10, help="at so many of them a client looks along")
    asked.add_argument("--beside", choices=list(load_beside.KINDS), help="what another studio does by turns")
    asked.add_argument("--each-line", action="store_true", help="a run for each line of the standard input")
    given = asked.parse_args()
    # Every client looks from an address of their own.
    os.environ["TRUSTED_PROXIES"] = "1"
    with passing_services() as addresses:
        product.adopt(addresses)
        # All of them are one person of one studio here, which in earnest would be more than their share.
        with product.running(capacity=given.owners) as running:
            os.environ.update({**running.environment, "DJANGO_SETTINGS_MODULE": "studio.settings"})
            desks = make_desks(STUDIO, given.owners, looking=given.looking)
            neighbour = Neighbour(running.site, make_desks(OTHER_STUDIO, 1)[0])
            faults = 0
            for _ in _runs(given):
                run, figures = Run(time.monotonic(), given.seconds), Figures()
                _all_at_once(_threads(running.site, desks, run, figures, given, neighbour))
                faults += _tell(figures, run, given, neighbour)
    return 1 if faults else 0


# --- Private ---


def _runs(given: argparse.Namespace) -> Iterator[object]:
    """One run, or one for each line of the standard input."""
    if not given.each_line:
        yield None
        return
    sys.stdout.write(READY + "\n")
    sys.stdout.flush()
    yield from sys.stdin


def _threads(
    site: str,
    desks: list[Desk],
    run: Run,
    figures: Figures,
    given: argparse.Namespace,
    neighbour: Neighbour,
) -> list[threading.Thread]:
    owners = [threading.Thread(target=_edit, args=(site, desk, run, given.pause, figures)) for desk in desks]
    clients = [
        threading.Thread(target=_look, args=(site, place, desk, run, figures))
        for place, desk in enumerate(desks)
        if desk.look
    ]
    beside = [given.beside] if given.beside else []
    others = [threading.Thread(target=load_beside.work, args=(neighbour, kind, run.is_on)) for kind in beside]
    return owners + clients + others


def _all_at_once(threads: list[threading.Thread]) -> None:
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def _edit(site: str, desk: Desk, run: Run, pause: float, figures: Figures) -> None:
    """One owner: open the page, then change something, wait, change something else."""
    chance = random.Random(desk.quote_id)  # noqa: S311 # No secret: the same edits at every run.
    browser, page = LoadBrowser(site, desk.cookie), f"/s/{desk.studio}/quotes/{desk.quote_id}/"
    time.sleep(chance.random() * max(pause, 0.5))
    try:
        html = browser.get(page)
        while run.is_on() is not None:
            sent = fields(html, 'class="sketch"') | _change(chance)
            began = time.monotonic()
            html = browser.post(page + "alter/", sent)
            if began > run.began + WARM_SECONDS:
                with figures.lock:
                    figures.edits.append((began, time.monotonic() - began))
                    figures.size = max(figures.size, browser.last_size)
            _stay(
                browser, f"{page}pulse/?version={sent['version']}", pause * chance.uniform(0.7, 1.3), figures
            )
    except Exception as fault:  # noqa: BLE001 # Whatever it is, it is what this script looks for.
        with figures.lock:
            figures.errors.append(f"{type(fault).__name__}: {fault}")


def _stay(browser: LoadBrowser, pulse: str, seconds: float, figures: Figures) -> None:
    """Leave the page open for so long; it sends its pulse."""
    rest = time.monotonic() + seconds
    while (left := rest - time.monotonic()) > 0:
        time.sleep(min(PULSE_SECONDS, left))
        began = time.monotonic()
        browser.get(pulse)
        with figures.lock:
            figures.pulses.append(time.monotonic() - began)


def _look(site: str, place: int, desk: Desk, run: Run, figures: Figures) -> None:
    """One client: open the link, then ask for the sketch as the page does."""
    browser = LoadBrowser(site, address=f"192.0.2.{place}")
    try:
        browser.get(desk.look)
        html = browser.get(browser.last_path)
        now = re.search(r'data-now="([^"]+)"', html)
        assert now is not None
        while run.is_on() is not None:
            time.sleep(LOOK_SECONDS)
            seen = re.search(r'data-mark="([^"]+)"', html)
            began = time.monotonic()
            html = browser.get(f"{now[1]}?seen={seen[1] if seen else ''}") or html
            with figures.lock:
                figures.looks.append(time.monotonic() - began)
    except Exception as fault:  # noqa: BLE001 # As above.
        with figures.lock:
            figures.errors.append(f"{type(fault).__name__}: {fault}")


def _change(chance: random.Random) -> Fields:
    kind = chance.randrange(4)
    if kind == 0:
        return {"fullness": str(chance.randint(80, 95))}
    if kind == 1:
        return {"share.pearl": str(chance.randint(25, 55))}
    if kind == 2:
        return {"loss": str(chance.randint(4, 12))}
    return {"width_m": f"{chance.uniform(7.0, 7.6):.2f} m"}


def _tell(figures: Figures, run: Run, given: argparse.Namespace, neighbour: Neighbour) -> int:
    """Print the figures in words, and in one last line as JSON; how much went wrong."""
    every = Spread.of([took for _, took in figures.edits])
    said = {"edits": asdict(every), "errors": len(figures.errors)}
    asked = f"{given.owners} owners, {given.looking} clients looking along, {given.pause:g} s between edits"
    lines = [
        f"{asked}, {given.seconds:g} s of which {WARM_SECONDS} warm the server and don't count",
        f"edits: {every}; {every.count / (given.seconds - WARM_SECONDS):.1f} a second",
        f"pulses: {Spread.of(figures.pulses)}",
        f"looks: {Spread.of(figures.looks)}",
        f"largest answer {figures.size / 1000:.1f} kB compressed",
        f"errors: {len(figures.errors)}",
        *sorted(f"  {error}" for error in set(figures.errors)),
    ]
    if given.beside:
        for name, on in (("alone", False), ("beside", True)):
            part = Spread.of([took for began, took in figures.edits if run.is_turn(began) is on])
            said[name] = asdict(part)
            lines.append(f"edits {name}: {part}")
        lines.append(
            f"{given.beside} of the other studio: {neighbour.done} done, refused: {neighbour.refused}"
        )
    sys.stdout.write("\n".join([*lines, json.dumps(said)]) + "\n")
    sys.stdout.flush()
    return len(figures.errors)


if __name__ == "__main__":
    sys.exit(main())
