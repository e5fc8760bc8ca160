"""The catalogues of what clients and crew read, from the source: `make messages`.

Python is read by Babel. A template is first turned into calls by Django's own reader of templates, as its
`makemessages` does it. No message names a line, so that a catalogue changes only where words do.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Final, TypeAlias

from babel import Locale
from babel.messages import Catalog
from babel.messages.extract import extract
from babel.messages.pofile import read_po, write_po
from django.utils.translation.template import templatize

ROOT = Path(__file__).resolve().parents[1]
FOLDER = ROOT / "locale"
LANGUAGES: Final = ("de",)
ROOMS: Final = ("studio", "stock", "events", "quoting")
Places: TypeAlias = tuple[int | tuple[int, str], ...] | None
KEYWORDS: Final[dict[str, Places]] = {
    "_": None, "gettext": None, "gettext_lazy": None, "ngettext": (1, 2), "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2), "pgettext_lazy": ((1, "c"), 2), "npgettext": ((1, "c"), 2, 3),
    "Caution": (2,), "Tool": (2,), "task": None, "to_translate": None,
}  # fmt: skip
"""Functions that say words of ours, and which of their arguments those are."""


def main() -> int:
    """Bring every catalogue up to date; says how much of each is left to translate."""
    found = from_source()
    for language in LANGUAGES:
        catalogue = updated(language, found)
        with path_of(language).open("wb") as file:
            file.write(written(catalogue))
        missing = [message.id for message in catalogue if message.id and not is_translated(message.string)]
        sys.stdout.write(f"{language}: {len(catalogue)} messages, {len(missing)} to translate\n")
    return 0


def from_source() -> Catalog:
    """Every message of the source, in the order of its files."""
    found = Catalog()
    for path in _sources():
        content = path.read_text("utf-8")
        text = content if path.suffix == ".py" else _calls(content)
        for _, message, comments, context in extract(
            "python", io.BytesIO(text.encode()), keywords=KEYWORDS, comment_tags=("Translators:",)
        ):
            found.add(
                message,
                locations=[(str(path.relative_to(ROOT)), 1)],
                auto_comments=comments,
                context=context,
            )
    return found


def read(language: str) -> Catalog:
    """The catalogue of a language as it is kept; an empty one where there is none yet."""
    path = path_of(language)
    if not path.exists():
        return Catalog(locale=language)
    with path.open("rb") as file:
        return read_po(file, locale=language)


def updated(language: str, found: Catalog) -> Catalog:
    """The kept catalogue with the messages of the source: new ones empty, those that are gone left out."""
    catalogue = Catalog(
        locale=Locale.parse(language),
        project="Billowbook",
        version="",
        copyright_holder="",
        msgid_bugs_address="",
        fuzzy=False,
        header_comment="# Billowbook",
    )
    kept = read(language)
    for message in found:
        if not message.id:
            continue
        known = kept.get(message.id, message.context)
        catalogue.add(
            message.id,
            known.string if known else "",
            locations=message.locations,
            auto_comments=message.auto_comments,
            context=message.context,
        )
    return catalogue


def written(catalogue: Catalog) -> bytes:
    """The catalogue as its file holds it: no date, since that changes without the words."""
    out = io.BytesIO()
    write_po(out, catalogue, width=100, include_lineno=False, sort_by_file=True, omit_header=True)
    head = f'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=UTF-8\\n"\n"Language: {catalogue.locale}\\n"\n'
    return f'{head}"Plural-Forms: {catalogue.plural_forms}\\n"\n\n'.encode() + out.getvalue()


def path_of(language: str) -> Path:
    """Where the catalogue of a language is kept."""
    return FOLDER / language / "LC_MESSAGES" / "django.po"


def is_translated(said: str | tuple[str, ...] | list[str] | None) -> bool:
    """Whether every form of a message says something."""
    return said is not None and all((said,) if isinstance(said, str) else said)


# Private


def _sources() -> Iterator[Path]:
    for room in ROOMS:
        yield from sorted(path for path in (ROOT / room).rglob("*.py") if "migrations" not in path.parts)
    yield from sorted(
        path for path in (ROOT / "templates").rglob("*") if path.suffix in {".html", ".txt", ".js"}
    )


def _calls(template: str) -> str:
    """The translated words of a template as calls. Each line starts at the margin, as Python wants it."""
    return "\n".join(line.lstrip() for line in templatize(template).split("\n"))


if __name__ == "__main__":
    raise SystemExit(main())
