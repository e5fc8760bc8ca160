"""The design file: reads a design from plain JSON values and writes it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Final

from quoting.craft.design.checks import cross_faults
from quoting.craft.design.chosen import as_chosen
from quoting.craft.design.faults import DesignError, Fault, FaultCode
from quoting.craft.design.former_versions import upgraded
from quoting.craft.design.records import VERSION, Design
from quoting.craft.design.schema import json_schema, read_record, write_record

STARTERS: Final = Path(__file__).parent.parent / "starters"
"""The designs that come with the product, one file each."""


def read_design(document: object, *, may_be_empty: bool = False) -> Design:
    """Read a design from plain JSON values, also one of an earlier version of the format.

    ``may_be_empty``: as on the drawing table, where a design begins with nothing.

    Raises DesignError with every fault found, each with its field (``garlands[0].mix[1].size_in``) and what is
    allowed there.

    >>> read_design({"version": 2, "name": "Bare", "palette": []})
    Traceback (most recent call last):
    ...
    quoting.craft.design.faults.DesignError: palette: has 0 entries; allowed are 1 to 16
    """
    faults: list[Fault] = []
    design = read_record(Design, upgraded(document), "", faults)
    if design is not None:
        found = cross_faults(design, may_be_empty=may_be_empty)
        faults.extend(found or cross_faults(as_chosen(design), may_be_empty=may_be_empty))
    if design is None or faults:
        raise DesignError(*faults)
    return design


def write_design(design: Design) -> dict[str, object]:
    """Write ``design`` as plain JSON values; fields at their default are left out, the version never is.

    >>> design = load_design(STARTERS / "table-garland.json")
    >>> write_design(design)["version"]
    2
    >>> read_design(write_design(design)) == design
    True
    """
    written = write_record(design)
    assert isinstance(written, dict)
    return written


def load_design(path: Path) -> Design:
    """Read a design file. Raises DesignError, also for text that is no JSON or gives a name twice.

    >>> load_design(STARTERS / "table-garland.json").garlands[0].fullness
    0.9
    """
    try:
        document = json.loads(path.read_text(encoding="utf-8"), object_pairs_hook=_each_name_once)
    except (ValueError, RecursionError) as error:
        raise DesignError(Fault(code=FaultCode.NOT_JSON, field=path.name, what=str(error))) from None
    return read_design(document)


def design_schema() -> dict[str, object]:
    """The JSON Schema of the design file, as published in ``design.schema.json``.

    >>> design_schema()["$id"]
    'urn:billowbook:design:2'
    """
    return {"$id": f"urn:billowbook:design:{VERSION}", **json_schema(Design)}


# Private


def _each_name_once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    """A JSON object; ValueError where a name comes twice, of which all but the last would be lost in silence."""
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"an object has {twice!r} twice; give each name once")
    return found
