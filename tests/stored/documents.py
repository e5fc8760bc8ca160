"""Samples of stored documents as files, and facts that are read from them as plain JSON values."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import Enum
from pathlib import Path
from typing import Any, Final
from uuid import UUID

from django.db.models import Model
from msgspec import Struct

HERE: Final = Path(__file__).parent
FACTS: Final = ".facts.json"
LINE: Final = 118
MOMENT: Final = datetime(2026, 3, 14, 12, tzinfo=UTC)
"""The clock stands here while samples are made and while they are read."""


def samples() -> list[Path]:
    """Every sample of every version; the folder that it lies in says what it is a sample of."""
    return sorted(path for path in HERE.glob("v*/*/*.json") if not path.name.endswith(FACTS))


def facts_beside(sample: Path) -> Path:
    """The file that says what is read from a sample."""
    return sample.with_name(sample.name.removesuffix(".json") + FACTS)


def written(value: Any) -> str:
    """A JSON value as its file has it, as much in a line as fits."""
    return _in_lines(plain(value), "") + "\n"


def plain(value: Any) -> Any:
    """What a reader gives, as JSON values: records by field, numbers that must be exact as text, moments ISO 8601."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Struct):
        return {name: plain(getattr(value, name)) for name in value.__struct_fields__}
    if isinstance(value, Mapping):
        return {str(key): plain(each) for key, each in value.items()}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, (datetime, date)):
        return value.isoformat()
    if isinstance(value, (Decimal, UUID, Model)):
        return str(value)
    if isinstance(value, (set, frozenset)):
        return sorted(plain(each) for each in value)
    return [plain(each) for each in value] if isinstance(value, (list, tuple)) else value


def differences(facts: Any, read: Any, place: str = "") -> Iterator[str]:
    """Where what is read isn't what the facts say. A field that a later version reads besides is no difference."""
    if isinstance(facts, Mapping) and isinstance(read, Mapping):
        for key, fact in facts.items():
            if key in read:
                yield from differences(fact, read[key], f"{place}.{key}")
            else:
                yield f"{place}.{key} isn't read any more; it was {fact!r}"
    elif _is_list(facts) and _is_list(read) and len(facts) == len(read):
        for number, (fact, now) in enumerate(zip(facts, read, strict=True)):
            yield from differences(fact, now, f"{place}[{number}]")
    elif facts != read:
        yield f"{place} was {facts!r} and is read as {read!r}"


def _in_lines(value: Any, indent: str) -> str:
    line = json.dumps(value, ensure_ascii=False, sort_keys=True)
    if len(indent) + len(line) <= LINE or not isinstance(value, (dict, list)):
        return line
    inner = indent + " "
    if isinstance(value, dict):
        rows = [
            f"{json.dumps(key, ensure_ascii=False)}: {_in_lines(each, inner)}"
            for key, each in sorted(value.items())
        ]
    else:
        rows = [_in_lines(each, inner) for each in value]
    begin, end = "{}" if isinstance(value, dict) else "[]"
    return f"{begin}\n{inner}" + f",\n{inner}".join(_filled(rows, LINE - len(inner))) + f"\n{indent}{end}"


def _filled(rows: Sequence[str], width: int) -> list[str]:
    """Rows that stand in a line, as many as fit into one."""
    lines: list[str] = []
    for row in rows:
        both = f"{lines[-1]}, {row}" if lines else row
        if lines and "\n" not in both and len(both) <= width:
            lines[-1] = both
        else:
            lines.append(row)
    return lines


def _is_list(value: Any) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str)
