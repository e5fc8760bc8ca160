"""Forms as the quote stands: known by what they are made from, and made only where they are shown.

Most changes leave most forms as they are. That one stays is told from what it is made from, which is less work than
to make it and to look at its fields.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache, cached_property, partial
from typing import Final, Generic, TypeVar

from quoting.quote_page.forms import SketchForm
from quoting.quote_page.sketch_fields import PARTS, Sketched, part_named

Made = TypeVar("Made")


class Standing(Generic[Made]):
    """A form, or something of one, as nobody typed anything into it. A template that names it gets it made."""

    def __init__(self, make: Callable[[], Made], *made_from: object, known_by: str = "") -> None:
        self._make = make
        self.known_by = known_by or repr(made_from)
        """Everything that it is made from, as text."""

    def __call__(self) -> Made:
        """The form, made once."""
        return self._made

    @cached_property
    def _made(self) -> Made:
        return self._make()


class StandingSketch:
    """The form of a set piece as it stands, of which each part is made, and known, by itself."""

    non_field_errors: Final = ""
    site_errors: Final = False
    size_errors: Final = False
    more_errors: Final = False

    def __init__(self, made: Sketched, names: Mapping[str, object]) -> None:
        self._made, self._names = made, names
        self._part = cache(self._make_part)
        self._known_by = cache(self._text_of_part)

    def __call__(self) -> SketchForm:
        """The whole form, made once."""
        return self._whole

    def __contains__(self, name: str) -> bool:
        return part_named(name) is not None

    def __getitem__(self, name: str) -> Standing[object]:
        """What the page calls so: fields of a part, or one of them; None is made where it has no such field."""
        part = part_named(name)
        assert part is not None
        return Standing(partial(self._shown, part, name), known_by=self._known_by(part))

    # Private

    @cached_property
    def _whole(self) -> SketchForm:
        return SketchForm(made=self._made, names=self._names)

    def _make_part(self, part: str) -> SketchForm:
        return SketchForm(made=self._made, names=self._names, parts=[part])

    def _text_of_part(self, part: str) -> str:
        return repr(PARTS[part].made_from(self._made))

    def _shown(self, part: str, name: str) -> object:
        form = self.__dict__.get("_whole") or self._part(part)
        return form[name] if name in form.fields else getattr(form, name, None)
