"""``python manage.py takeoff FILE.json [--text | --json | --svg OUT | --glb OUT]``: works a design file out.

Plain Python: no settings, no database, no services are needed for it.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from quoting.craft.design.design_file import load_design
from quoting.craft.design.faults import DesignError
from quoting.craft.design.frame_places import frame_place_faults
from quoting.craft.design.letters import lettering_faults
from quoting.craft.design.records import Design
from quoting.craft.design.signs import sign_faults
from quoting.craft.picture.elevation import elevation_svg
from quoting.craft.sheets.report import report_json, report_text
from quoting.craft.site.placing import in_the_open, read_fact, with_fact
from quoting.craft.solid.glb import glb
from quoting.craft.solid.scene import scene_of
from quoting.craft.takeoff.takeoff import TakeOff, take_off

FAULTY, UNREADABLE = 1, 2  # exit codes (settings)


def run(arguments: Sequence[str]) -> int:
    """Run the command and give its exit code.

    0: worked out, printed on the standard output. 1: the design can't be worked out; every fault on a line of its own
    on the error output. 2: a file can't be read or written, or the command was given wrongly.
    """
    given = _parser().parse_args(arguments)
    try:
        takeoff = take_off(_placed(_checked(load_design(given.file)), given.site))
    except DesignError as error:
        return _failed(FAULTY, f"{given.file.name} cannot be worked out:\n{error}")
    except OSError as error:
        return _failed(UNREADABLE, f"{given.file}: cannot be read: {error.strerror}.")
    try:
        sys.stdout.write(_shown(takeoff, given) + "\n")
    except OSError as error:
        return _failed(UNREADABLE, f"{given.svg or given.glb}: cannot be written: {error.strerror}.")
    return 0


# Private


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="manage.py takeoff",
        description="Work out a design file: counts, bill, minutes, dimensions, build sheet, picture.",
        epilog="Exits with 1 where the design has faults, with 2 where a file can't be read or written.",
    )
    parser.add_argument("file", type=Path, help="the design file (JSON, see quoting/craft/README.md)")
    parser.add_argument(
        "--site",
        action="append",
        default=[],
        metavar="FACT=VALUE",
        help="a fact of the site over that of the file, as altitude_m=1600 or outdoors=true; may be repeated",
    )
    parser.add_argument("--european", action="store_true", help="cautions as European law words them")
    output = parser.add_mutually_exclusive_group()
    output.add_argument("--text", action="store_true", help="print it as text (the default)")
    output.add_argument("--json", action="store_true", help="print it as JSON")
    output.add_argument("--svg", type=Path, metavar="OUT", help="write the picture to OUT")
    output.add_argument("--glb", type=Path, metavar="OUT", help="write a model to turn (binary glTF) to OUT")
    return parser


def _checked(design: Design) -> Design:
    """The design; DesignError for what a page refuses in a new file: its sign, or frames in one place."""
    if faults := sign_faults(design) + lettering_faults(design) + frame_place_faults(design):
        raise DesignError(*faults)
    return design


def _placed(design: Design, facts: Sequence[str]) -> Design:
    """The design at the site that is given; judged by the usual gust where it stands in the open and none is known."""
    for fact in facts:
        name, _, text = fact.partition("=")
        design = with_fact(design, name, read_fact(name, text))
    return replace(design, site=in_the_open(design.site, outdoors=design.site.outdoors))


def _shown(takeoff: TakeOff, given: argparse.Namespace) -> str:
    if given.svg:
        given.svg.write_text(elevation_svg(takeoff, person=True, dimensions=True), encoding="utf-8")
        return f"Picture written to {given.svg}."
    if given.glb:
        given.glb.write_bytes(glb(scene_of(takeoff)))
        return f"Model written to {given.glb}."
    if given.json:
        return json.dumps(report_json(takeoff, european=given.european), indent=2, ensure_ascii=False)
    return report_text(takeoff, european=given.european)


def _failed(code: int, words: str) -> int:
    sys.stderr.write(words + "\n")
    return code
