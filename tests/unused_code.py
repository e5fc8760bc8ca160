"""What of the product no product code uses; `make check-unused` fails where something is.

Vulture reads Python only. What templates and the settings' dotted paths name is used as well; columns, choices, form
fields and stored documents are read by Django, the database and the reader of documents. These are added here; the
short list of other names is in pyproject.toml with its reasons.
"""

from __future__ import annotations

import keyword
import re
import sys
from fnmatch import fnmatch
from pathlib import Path

from vulture.config import make_config
from vulture.core import Item, Vulture

ROOT = Path(__file__).resolve().parents[1]
TEMPLATE_TAG = re.compile(r"\{\{.*?\}\}|\{%.*?%\}", re.DOTALL)
DOTTED_PATH = re.compile(r'"(?:studio|stock|events|quoting)\.[\w.]*?(\w+)"')
DECLARED = ("*/models/*.py", "*/*forms.py", "*/settings.py", "*/stored.py")
"""Files whose names are declarations that somebody else reads."""


def main() -> int:
    """Print what is unused; 1 if something is."""
    unused = found()
    for item in unused:
        place = f"{item.filename.relative_to(ROOT)}:{item.first_lineno}"
        sys.stdout.write(f"{place}: unused {item.typ} {item.name}\n")
    return 1 if unused else 0


def found() -> list[Item]:
    """What nothing uses, with the confidence that pyproject.toml asks for."""
    config = make_config(["--config", str(ROOT / "pyproject.toml")])
    vulture = Vulture(ignore_names=config["ignore_names"], ignore_decorators=config["ignore_decorators"])
    vulture.scavenge([ROOT / path for path in config["paths"]])
    named = named_in_templates() | named_in_settings()
    vulture.scan("\n".join(f"_.{name}" for name in sorted(named)), filename="named elsewhere")
    columns = {item.name for item in vulture.defined_vars if fnmatch(str(item.filename), "*/models/*.py")}
    return [
        item
        for item in vulture.get_unused_code(min_confidence=config["min_confidence"])
        if not _is_declaration(item) and not (item.typ == "attribute" and item.name in columns)
    ]


def named_in_templates() -> set[str]:
    """Every name that stands in a tag or a variable of a template."""
    names: set[str] = set()
    for path in (ROOT / "templates").rglob("*"):
        if path.suffix in {".html", ".txt", ".svg", ".js"}:
            for tag in TEMPLATE_TAG.findall(path.read_text("utf-8")):
                names.update(re.findall(r"[A-Za-z_]\w*", tag))
    return {name for name in names if not keyword.iskeyword(name)}


def named_in_settings() -> set[str]:
    """What the settings name by a dotted path: adapters, forms, middleware."""
    return set(DOTTED_PATH.findall((ROOT / "studio" / "settings.py").read_text("utf-8")))


def _is_declaration(item: Item) -> bool:
    """Whether it is a declaration, or an operation of a migration, which stays as it was."""
    path = str(item.filename)
    if fnmatch(path, "*/migrations/*"):
        return True
    return item.typ == "variable" and any(fnmatch(path, pattern) for pattern in DECLARED)


if __name__ == "__main__":
    sys.exit(main())
