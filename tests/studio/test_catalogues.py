"""The catalogues of other languages: up to date, complete, sound, and compiled where they changed."""

from __future__ import annotations

import gettext
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from babel.messages.catalog import Message
from babel.messages.mofile import read_mo

from studio.catalogues import compile_changed
from tests import messages

every_language = pytest.mark.parametrize("language", messages.LANGUAGES)


@every_language
def test_a_catalogue_has_the_messages_of_the_source_and_no_others(language: str) -> None:
    """`make messages` brings it up to date."""
    kept = messages.path_of(language).read_bytes()
    assert messages.written(messages.updated(language, messages.from_source())) == kept


@every_language
def test_every_message_is_translated(language: str) -> None:
    catalogue = messages.read(language)
    assert [each.id for each in catalogue if each.id and not messages.is_translated(each.string)] == []
    assert [each.id for each in catalogue if each.id and each.fuzzy] == []


@every_language
def test_a_translation_has_the_placeholders_of_its_message(language: str) -> None:
    catalogue = messages.read(language)
    assert [(each.id, str(fault)) for each in catalogue for fault in each.check(catalogue)] == []
    assert [each.id for each in catalogue if each.id and braces(each.id) != braces(each.string)] == []


@every_language
def test_other_readers_of_the_format_read_the_catalogue_as_well(language: str) -> None:
    """Python's own gettext reads what Babel compiled; GNU's, the reference, checks the text where it is installed."""
    compile_changed(messages.FOLDER)
    with messages.path_of(language).with_suffix(".mo").open("rb") as file:
        catalogue = gettext.GNUTranslations(file)
    for each in messages.read(language):
        if each.id:
            assert found_in(catalogue, each) == forms(each.string)
    if shutil.which("msgfmt"):
        told = subprocess.run(
            ["msgfmt", "--check", "--statistics", "-o", os.devnull, messages.path_of(language)],
            check=False, capture_output=True, text=True, env={**os.environ, "LC_ALL": "C"},
        )  # fmt: skip
        assert told.returncode == 0, told.stderr
        assert "untranslated" not in told.stderr
        assert "fuzzy" not in told.stderr


def test_a_catalogue_is_compiled_once_and_again_when_it_changes(tmp_path: Path) -> None:
    text = tmp_path / "de" / "LC_MESSAGES" / "django.po"
    text.parent.mkdir(parents=True)
    text.write_text(
        'msgid ""\nmsgstr "Content-Type: text/plain; charset=UTF-8\\n"\n\nmsgid "Agree"\nmsgstr "Ja"\n'
    )
    (made,) = compile_changed(tmp_path)
    assert compile_changed(tmp_path) == []
    text.write_text(text.read_text().replace("Ja", "Zustimmen"))
    later = made.stat().st_mtime + 1
    os.utime(text, (later, later))
    (again,) = compile_changed(tmp_path)
    with again.open("rb") as file:
        said = {message.id: message.string for message in read_mo(file)}
    assert said["Agree"] == "Zustimmen"
    assert [path.name for path in text.parent.iterdir() if path.suffix == ".part"] == []


def braces(said: str | tuple[str, ...] | list[str] | None) -> set[str]:
    """What scripts fill in: words in curly brackets."""
    return set(re.findall(r"\{\w+\}", said if isinstance(said, str) else " ".join(said or ())))


def forms(said: str | tuple[str, ...] | list[str] | None) -> list[str]:
    """A message's forms: for one, and for more where it has another."""
    return [said] if isinstance(said, str) else list(said or ())


def found_in(catalogue: gettext.GNUTranslations, each: Message) -> list[str]:
    """The same, as the standard library looks a message up: by its context, if it has one, and by a number."""
    one, *more = forms(each.id)
    if not more:
        said = catalogue.pgettext(each.context, one) if each.context else catalogue.gettext(one)
        return [said]
    return [
        catalogue.npgettext(each.context, one, more[0], number)
        if each.context
        else catalogue.ngettext(one, more[0], number)
        for number in (1, 2)
    ]
