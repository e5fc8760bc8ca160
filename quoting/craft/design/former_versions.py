"""Design files of earlier versions, turned into the present one before they are read."""

from __future__ import annotations

from collections.abc import Mapping

from quoting.craft.design.records import VERSION

ONE_SIGN = 1
"""The version in which a design had one sign or none."""


def upgraded(document: object) -> object:
    """Turn the plain JSON values of an earlier version into those of the present one; others stay as they are.

    >>> upgraded({"version": 1, "name": "Bare", "sign": {"text": "Mara"}})
    {'version': 2, 'name': 'Bare', 'signs': [{'text': 'Mara'}]}
    """
    if not isinstance(document, Mapping) or not _is_version(document.get("version"), ONE_SIGN):
        return document
    found = {**_with_signs(document), "version": VERSION}
    if isinstance(chosen := found.get("chosen"), Mapping):
        found["chosen"] = _with_signs(chosen)
    return found


# Private


def _is_version(found: object, version: int) -> bool:
    return isinstance(found, int) and not isinstance(found, bool) and found == version


def _with_signs(values: Mapping[object, object]) -> dict[object, object]:
    """Values with a list of signs in place of one sign or null."""
    if "sign" not in values or "signs" in values:
        return dict(values)
    signs = [] if values["sign"] is None else [values["sign"]]
    return {
        ("signs" if name == "sign" else name): signs if name == "sign" else one
        for name, one in values.items()
    }
