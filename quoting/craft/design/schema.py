"""Records and JSON: reads plain values into frozen records, writes them, and makes the JSON Schema of the records.

Each field of a record carries its own rule (type, allowed range, meaning). The reader and the published
schema are both made from these rules, so they cannot drift apart.
"""

from __future__ import annotations

import dataclasses
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import MISSING, dataclass, replace
from functools import cache
from typing import Any, ClassVar, Protocol, TypeAlias, TypeGuard, TypeVar

from quoting.craft.design.faults import Fault, FaultCode

Record = TypeVar("Record")
# A dataclass takes a default where an attribute of another type is declared: no narrower type says that.
Ruled: TypeAlias = Any


class Dataclass(Protocol):
    """Any dataclass, as ``dataclasses.replace`` takes it."""

    __dataclass_fields__: ClassVar[dict[str, dataclasses.Field[Ruled]]]


AnyRecord = TypeVar("AnyRecord", bound=Dataclass)
Schema: TypeAlias = dict[str, object]
CODE_PATTERN = r"[a-z0-9]+(-[a-z0-9]+)*"
# Settings of the format: no coordinate lies beyond, and a pair has two.
FARTHEST = 60.0
PAIR_SCHEMA = {
    "type": "array",
    "items": {"type": "number", "minimum": -FARTHEST, "maximum": FARTHEST},
    "minItems": 2,
    "maxItems": 2,
}
HEX = r"#[0-9A-Fa-f]{6}"


@dataclass(frozen=True, slots=True)
class Rule:
    """What a field may hold."""

    kind: str  # number | whole | text | flag | part | parts | pairs | numbers | texts | value
    doc: str
    low: float = -math.inf
    high: float = math.inf
    pattern: str = ""
    choices: tuple[str, ...] = ()
    record: type[object] | None = None
    optional: bool = False
    each: Rule | None = None
    """What every entry of a list of numbers or texts may hold."""


def _field(rule: Rule, default: object) -> Ruled:
    if default is MISSING:
        return dataclasses.field(metadata={"rule": rule})
    return dataclasses.field(default=default, metadata={"rule": rule})


def a_number(
    low: float, high: float, doc: str, default: object = MISSING, *, optional: bool = False
) -> Ruled:
    """A number between ``low`` and ``high``, both allowed."""
    return _field(Rule("number", doc, low, high, optional=optional), default)


def a_whole(low: int, high: int, doc: str, default: object = MISSING, *, optional: bool = False) -> Ruled:
    """A whole number between ``low`` and ``high``, both allowed."""
    return _field(Rule("whole", doc, low, high, optional=optional), default)


def a_text(
    doc: str, default: object = MISSING, *, longest: int = 120, pattern: str = "", least: int = 0
) -> Ruled:
    """A text of at most ``longest`` characters that matches ``pattern`` as a whole."""
    return _field(Rule("text", doc, least, longest, pattern=pattern), default)


def a_code(doc: str, default: object = MISSING) -> Ruled:
    """A short code: lower-case letters and digits, parted by hyphens."""
    pattern = CODE_PATTERN if default is MISSING else f"({CODE_PATTERN})?"
    return _field(Rule("text", doc, 0 if default is not MISSING else 1, 60, pattern=pattern), default)


def a_reference(doc: str) -> Ruled:
    """A thing of the design by its kind and id, such as prop:plinth; empty where it may be none."""
    return _field(Rule("text", doc, 0, 80, pattern=f"([a-z]+:{CODE_PATTERN})?"), "")


def a_colour(doc: str, default: object = MISSING) -> Ruled:
    """An sRGB colour; where the default is empty, it may be left out."""
    pattern = f"({HEX})?" if default == "" else HEX
    return _field(Rule("text", doc, 0, 7, pattern=pattern), default)


def one_of(choices: tuple[str, ...], doc: str, default: object = MISSING) -> Ruled:
    """One word out of a closed set."""
    return _field(Rule("text", doc, 0, 60, choices=choices), default)


def a_flag(doc: str, default: object = MISSING) -> Ruled:
    """True or false."""
    return _field(Rule("flag", doc), default)


def a_part(record: type[object], doc: str, default: object = MISSING, *, optional: bool = False) -> Ruled:
    """One record within another."""
    return _field(Rule("part", doc, record=record, optional=optional), default)


def part_list(record: type[object], doc: str, least: int, most: int, default: object = MISSING) -> Ruled:
    """A list of records."""
    return _field(Rule("parts", doc, least, most, record=record), default)


def pair_list(doc: str, least: int, most: int, default: object = MISSING) -> Ruled:
    """A list of pairs of numbers, such as points or the knots of a profile."""
    return _field(Rule("pairs", doc, least, most), default)


def number_list(low: float, high: float, doc: str, most: int, default: object = MISSING) -> Ruled:
    """A list of up to ``most`` numbers, each between ``low`` and ``high``."""
    return _field(Rule("numbers", doc, 0, most, each=Rule("number", "", low, high)), default)


def text_list(doc: str, most: int, *, longest: int, pattern: str, default: object = MISSING) -> Ruled:
    """A list of up to ``most`` texts, each matching ``pattern`` as a whole and at most ``longest`` long."""
    return _field(Rule("texts", doc, 0, most, each=Rule("text", doc, 0, longest, pattern=pattern)), default)


def a_value(doc: str) -> Ruled:
    """Any plain value, which another rule reads later. Only for records that no schema is made of."""
    return _field(Rule("value", doc), MISSING)


def read_record(record: type[Record], data: object, path: str, faults: list[Fault]) -> Record | None:
    """Read ``data`` as ``record``. Faults are appended to ``faults``; None comes back when there was one."""
    if not isinstance(data, Mapping):
        faults.append(Fault(code=FaultCode.NOT_AN_OBJECT, field=path or "design", found=_shown(data)))
        return None
    before = len(faults)
    fields = {field.name: field for field in _fields(record)}
    faults += [
        Fault(code=FaultCode.UNKNOWN_FIELD, field=_join(path, _readable(str(key))), names=tuple(fields))
        for key in data
        if key not in fields
    ]
    values: dict[str, object] = {}
    for name, field in fields.items():
        here = _join(path, name)
        if name in data:
            values[name] = _read_value(field.metadata["rule"], data[name], here, faults)
        elif field.default is MISSING:
            faults.append(Fault(code=FaultCode.MISSING_FIELD, field=here, what=field.metadata["rule"].doc))
    return record(**values) if len(faults) == before else None


def write_record(value: object) -> object:
    """The plain JSON value of a record; fields that hold their default are left out.

    >>> from quoting.craft.design.records import Cover
    >>> write_record(Cover(item="cover", label="Cover", colour="oat", hex="#F3EBDD"))
    {'item': 'cover', 'label': 'Cover', 'colour': 'oat', 'hex': '#F3EBDD'}
    """
    kind = type(value)
    if kind in _AS_THEY_ARE:
        return value
    if isinstance(value, tuple):
        return [write_record(item) for item in value]
    if not dataclasses.is_dataclass(kind):
        return value
    written: dict[str, object] = {}
    for name, default in _defaults(kind):
        item = getattr(value, name)
        if default is MISSING or item != default:
            written[name] = item if type(item) in _AS_THEY_ARE else write_record(item)
    return written


def held(record: AnyRecord, **numbers: float) -> AnyRecord:
    """The record with other numbers, each held to what its field takes.

    >>> from quoting.craft.design.things import Lettering
    >>> held(Lettering(id="words", text="six!", height_m=0.2, x_m=0, y_m=1, frame="low"), x_m=31.0, y_m=2.0).x_m
    30
    """
    rules = {field.name: field.metadata["rule"] for field in dataclasses.fields(record)}
    return replace(
        record, **{name: min(max(n, rules[name].low), rules[name].high) for name, n in numbers.items()}
    )


def json_schema(record: type[object]) -> Schema:
    """The JSON Schema (draft 2020-12) of ``record``, with every part under ``$defs``."""
    definitions: dict[str, Schema] = {}
    _define(record, definitions)
    top = definitions.pop(record.__name__)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **top, "$defs": definitions}


# Private

_AS_THEY_ARE = frozenset({str, float, int, bool, type(None)})


@cache
def _defaults(record: type[object]) -> tuple[tuple[str, object], ...]:
    return tuple((field.name, field.default) for field in _fields(record))


def _fields(record: type[object]) -> tuple[dataclasses.Field[object], ...]:
    if not dataclasses.is_dataclass(record):
        raise TypeError(f"{record.__name__} is no record")
    return dataclasses.fields(record)


def _join(path: str, name: str) -> str:
    return f"{path}.{name}" if path else name


def _shown(value: object) -> str:
    shown = repr(value)
    return shown if len(shown) <= 40 else shown[:37] + "..."


def _readable(name: str) -> str:
    """A name with its halves of surrogate pairs written out: as it is, no page could show it."""
    return name.encode("utf-8", "backslashreplace").decode()


def _read_value(rule: Rule, value: object, path: str, faults: list[Fault]) -> object:
    if value is None and rule.optional:
        return None
    if rule.kind in ("number", "whole"):
        return _read_number(rule, value, path, faults)
    if rule.kind == "text":
        return _read_text(rule, value, path, faults)
    if rule.kind == "value":
        return value
    if rule.kind == "flag":
        if not isinstance(value, bool):
            faults.append(Fault(code=FaultCode.NOT_A_FLAG, field=path, found=_shown(value)))
        return value
    if rule.kind == "part":
        assert rule.record is not None
        return read_record(rule.record, value, path, faults)
    return _read_list(rule, value, path, faults)


def _read_number(rule: Rule, value: object, path: str, faults: list[Fault]) -> object:
    if not _is_number(value, whole=rule.kind == "whole"):
        code = FaultCode.NOT_WHOLE if rule.kind == "whole" else FaultCode.NOT_A_NUMBER
        faults.append(Fault(code=code, field=path, found=_shown(value), low=rule.low, high=rule.high))
        return None
    if not rule.low <= value <= rule.high:
        found = _as_float(value)
        faults.append(
            Fault(code=FaultCode.OUT_OF_RANGE, field=path, found=found, low=rule.low, high=rule.high)
        )
        return None
    return float(value) if rule.kind == "number" else value


def _is_number(value: object, *, whole: bool) -> TypeGuard[float]:
    """Whether it is a finite number, or a whole one."""
    if isinstance(value, bool):
        return False
    return isinstance(value, int) or (isinstance(value, float) and not whole and math.isfinite(value))


def _as_float(value: float) -> float:
    """The number as a float; infinity for a whole number beyond all floats."""
    try:
        return float(value)
    except OverflowError:
        return math.inf if value > 0 else -math.inf


def _read_text(rule: Rule, value: object, path: str, faults: list[Fault]) -> object:
    if not isinstance(value, str):
        faults.append(Fault(code=FaultCode.NOT_TEXT, field=path, found=_shown(value)))
    elif rule.choices and value not in rule.choices:
        faults.append(
            Fault(code=FaultCode.UNKNOWN_CHOICE, field=path, found=_shown(value), names=rule.choices)
        )
    elif not rule.low <= len(value) <= rule.high:
        faults.append(
            Fault(code=FaultCode.WRONG_LENGTH, field=path, found=len(value), low=rule.low, high=rule.high)
        )
    elif not _is_writable(value) or (rule.pattern and not re.fullmatch(rule.pattern, value)):
        faults.append(Fault(code=FaultCode.WRONG_FORM, field=path, found=_shown(value), what=rule.doc))
    return value


def _is_writable(text: str) -> bool:
    """Whether a text can be kept and sent: NUL and half a surrogate pair can't (Unicode 15, sections 3.8 and 23.1)."""
    return "\x00" not in text and not any("\ud800" <= character <= "\udfff" for character in text)


def _read_list(rule: Rule, value: object, path: str, faults: list[Fault]) -> object:
    if not isinstance(value, list | tuple):
        faults.append(Fault(code=FaultCode.NOT_A_LIST, field=path, found=_shown(value)))
        return ()
    if not rule.low <= len(value) <= rule.high:
        faults.append(
            Fault(code=FaultCode.WRONG_COUNT, field=path, found=len(value), low=rule.low, high=rule.high)
        )
        return ()
    if rule.kind == "parts":
        assert rule.record is not None
        return tuple(read_record(rule.record, item, f"{path}[{i}]", faults) for i, item in enumerate(value))
    if rule.each is not None:
        return tuple(_read_value(rule.each, item, f"{path}[{i}]", faults) for i, item in enumerate(value))
    return _read_pairs(value, path, faults)


def _read_pairs(value: Sequence[object], path: str, faults: list[Fault]) -> object:
    pair_rule = Rule("number", "", -FARTHEST, FARTHEST)
    read: list[tuple[object, object]] = []
    for i, item in enumerate(value):
        if not isinstance(item, list | tuple) or len(item) != 2:
            faults.append(Fault(code=FaultCode.NOT_A_PAIR, field=f"{path}[{i}]", found=_shown(item)))
            continue
        if all(type(one) is float and pair_rule.low <= one <= pair_rule.high for one in item):
            read.append(
                (item[0], item[1])
            )  # a stroke has hundreds of these: no place is spelled out for them
            continue
        first, second = (_read_number(pair_rule, item[k], f"{path}[{i}][{k}]", faults) for k in (0, 1))
        read.append((first, second))
    return tuple(read)


def _define(record: type[object], definitions: dict[str, Schema]) -> None:
    if record.__name__ in definitions:
        return
    definitions[record.__name__] = {}
    properties: dict[str, Schema] = {}
    required: list[str] = []
    for field in _fields(record):
        rule: Rule = field.metadata["rule"]
        properties[field.name] = _schema_of(rule, definitions)
        if field.default is MISSING:
            required.append(field.name)
        elif isinstance(field.default, str | int | float) or field.default is None:
            properties[field.name]["default"] = field.default
    definitions[record.__name__] = {
        "title": record.__name__,
        "description": (record.__doc__ or "").strip().split("\n\n")[0],
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": False,
    }


def _schema_of(rule: Rule, definitions: dict[str, Schema]) -> Schema:
    shape = _text_schema(rule) if rule.kind == "text" else _shape_of(rule, definitions)
    if rule.optional:
        shape = {"anyOf": [shape, {"type": "null"}]}
    return {"description": rule.doc, **shape} if rule.doc else shape


def _shape_of(rule: Rule, definitions: dict[str, Schema]) -> Schema:
    if rule.record is not None:
        _define(rule.record, definitions)
    reference: Schema = {"$ref": f"#/$defs/{rule.record.__name__}"} if rule.record else {}
    each = _schema_of(replace(rule.each, doc=""), definitions) if rule.each else {}
    shapes: dict[str, Schema] = {
        "number": {"type": "number", "minimum": rule.low, "maximum": rule.high},
        "whole": {"type": "integer", "minimum": rule.low, "maximum": rule.high},
        "flag": {"type": "boolean"},
        "part": reference,
        "parts": {"type": "array", "items": reference},
        "pairs": {"type": "array", "items": dict(PAIR_SCHEMA)},
        "numbers": {"type": "array", "items": each},
        "texts": {"type": "array", "items": each},
    }
    shape = shapes[rule.kind]
    if shape.get("type") == "array":
        shape |= {"minItems": int(rule.low), "maxItems": int(rule.high)}
    return shape


def _text_schema(rule: Rule) -> Schema:
    shape: Schema = {"type": "string"}
    if rule.choices:
        return shape | {"enum": list(rule.choices)}
    shape |= {"minLength": int(rule.low), "maxLength": int(rule.high)}
    return shape | ({"pattern": f"^(?:{rule.pattern})$"} if rule.pattern else {})
