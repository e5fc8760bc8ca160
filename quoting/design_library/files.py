"""Design files as people send them: read with every fault named by its place in the file, written to be kept."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Final, NoReturn

from quoting.craft.design.design_file import read_design, write_design
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.frame_places import frame_place_faults
from quoting.craft.design.letters import lettering_faults
from quoting.craft.design.records import Design
from quoting.craft.design.signs import sign_faults
from quoting.craft.sheets.build_sheet import build_sheet
from quoting.prints.carried import carrying, checked
from quoting.set_pieces.worked import taken_off
from studio.trade.errors import CraftError

MOST_BYTES: Final = 600_000
"""A design of a stage with three frames takes 6,000, six images of printed covers 360,000."""
MOST_BALLOONS_HERE: Final = 4_000
"""What a page works out while somebody waits; more is for the command line."""
MOST_FAULTS_SHOWN: Final = 60
THE_FILE: Final = "the file"


@dataclass(frozen=True, slots=True)
class FaultRow:
    """One fault: where in the file, and what is wrong there with what is allowed."""

    place: str
    words: str


def read(content: bytes | str) -> Design:
    """The design in a file, worked out once so that it is known to build; its images are read and encoded anew.

    Raises :class:`~quoting.craft.design.DesignError` with every fault; nothing is corrected. Keys that stand twice,
    numbers that are none and text in another encoding are faults as well.
    """
    design = read_design(_values(_text(content)))
    if faults := sign_faults(design) + lettering_faults(design) + frame_place_faults(design):
        raise DesignError(*faults)
    design = checked(design)
    try:
        result = taken_off(replace(design, images=()))
        build_sheet(result)
    except DesignError:
        raise
    except CraftError as error:
        fault = Fault(code=FaultCode.CANNOT_BE_BUILT, field=THE_FILE, what=str(error))
        raise DesignError(fault) from None
    if len(result.balloons) > MOST_BALLOONS_HERE:
        count, code = len(result.balloons), FaultCode.TOO_MANY_BALLOONS
        raise DesignError(Fault(code=code, field=THE_FILE, found=count, high=MOST_BALLOONS_HERE))
    return design


def written(design: Design) -> str:
    """The design as a file that :func:`read` takes, small copies of its images inside."""
    return json.dumps(write_design(carrying(design)), ensure_ascii=False, indent=2) + "\n"


def fault_rows(error: DesignError) -> list[FaultRow]:
    """The faults as a page lists them, in the order of the file; of very many only the first."""
    rows = [
        FaultRow(fault.field or THE_FILE, fault.message.rstrip(".") + ".")
        for fault in error.faults[:MOST_FAULTS_SHOWN]
    ]
    if left := len(error.faults) - len(rows):
        rows.append(FaultRow("further on", f"has {left} more problems. Fix these first."))
    return rows


def named(design: Design, name: str) -> Design:
    """The same design under another name."""
    return replace(design, name=name)


# Private


def _text(content: bytes | str) -> str:
    raw = content.encode("utf-8", "surrogatepass") if isinstance(content, str) else content
    if len(raw) > MOST_BYTES:
        code = FaultCode.FILE_TOO_LARGE
        raise DesignError(Fault(code=code, field=THE_FILE, found=len(raw), high=MOST_BYTES))
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        fault = Fault(code=FaultCode.NOT_UTF8, field=THE_FILE, found=error.start + 1)
        raise DesignError(fault) from None


def _values(text: str) -> object:
    twice: list[Fault] = []

    def once(pairs: list[tuple[str, object]]) -> dict[str, object]:
        found = dict(pairs)
        if len(found) < len(pairs):
            keys = [key for key, _ in pairs]
            double = sorted({key for key in keys if keys.count(key) > 1})
            twice.extend(Fault(code=FaultCode.NAME_TWICE, field=key[:60]) for key in double)
        return found

    def no_number(word: str) -> NoReturn:
        raise DesignError(Fault(code=FaultCode.NO_SUCH_NUMBER, field=THE_FILE, found=word))

    try:
        data = json.loads(text, object_pairs_hook=once, parse_constant=no_number)
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise DesignError(Fault(code=FaultCode.NOT_JSON, field=where, what=error.msg)) from None
    except (RecursionError, ValueError) as error:
        if isinstance(error, CraftError):
            raise
        deep = isinstance(error, RecursionError)
        code = FaultCode.NESTED_TOO_DEEPLY if deep else FaultCode.NUMBER_TOO_LONG
        raise DesignError(Fault(code=code, field=THE_FILE)) from None
    if twice:
        raise DesignError(*twice)
    return data
