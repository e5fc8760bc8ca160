"""How versions differ, in words that a client reads: ``48 balloons more, florals, a second frame``."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quoting.variants.tally import Change, Difference, Tally, differences

Counted = Callable[[int], str]

MORE: Final[dict[str, Counted]] = {
    "balloons": lambda n: ngettext("%(n)s balloon more", "%(n)s balloons more", n),
    "pieces": lambda n: ngettext("%(n)s set piece more", "%(n)s set pieces more", n),
    "frames": lambda n: ngettext("%(n)s frame more", "%(n)s frames more", n),
    "covers": lambda n: ngettext("%(n)s cover more", "%(n)s covers more", n),
    "foils": lambda n: ngettext("%(n)s foil balloon more", "%(n)s foil balloons more", n),
    "props": lambda n: ngettext("%(n)s prop more", "%(n)s props more", n),
}
FEWER: Final[dict[str, Counted]] = {
    "balloons": lambda n: ngettext("%(n)s balloon fewer", "%(n)s balloons fewer", n),
    "pieces": lambda n: ngettext("%(n)s set piece fewer", "%(n)s set pieces fewer", n),
    "frames": lambda n: ngettext("%(n)s frame fewer", "%(n)s frames fewer", n),
    "covers": lambda n: ngettext("%(n)s cover fewer", "%(n)s covers fewer", n),
    "foils": lambda n: ngettext("%(n)s foil balloon fewer", "%(n)s foil balloons fewer", n),
    "props": lambda n: ngettext("%(n)s prop fewer", "%(n)s props fewer", n),
}


def difference_words(before: Tally, after: Tally, *, counts: bool = True) -> list[str]:
    """How ``after`` differs from ``before``, a few words each; without ``counts`` no number of balloons."""
    return [_words(one, counts=counts) for one in differences(before, after)]


def has_words(tally: Tally, *, counts: bool = True) -> list[str]:
    """What the first version has, by the same counts: ``214 balloons, 2 frames, florals``."""
    said = [
        ngettext("%(n)s balloon", "%(n)s balloons", tally.balloons) % {"n": tally.balloons}
        if counts and tally.balloons
        else "",
        ngettext("%(n)s frame", "%(n)s frames", tally.frames) % {"n": tally.frames} if tally.frames else "",
        _("florals") if tally.florals else "",
        _("a sign") if tally.sign else "",
    ]
    return [words for words in said if words]


def joined(words: Iterable[str]) -> str:
    """The same as one line, the first letter large; empty for no words."""
    line = ", ".join(words)
    return line[:1].upper() + line[1:]


# Private


def _words(one: Difference, *, counts: bool) -> str:
    if one.what == "balloons" and not counts:
        return _("more balloons") if one.change == Change.MORE else _("fewer balloons")
    if one.what in MORE:
        return _counted(one)
    return _part_words(one)


def _counted(one: Difference) -> str:
    ordinal = _ordinal(one)
    if ordinal:
        return ordinal
    sentence = (MORE if one.change == Change.MORE else FEWER)[one.what](one.by)
    return sentence % {"n": one.by}


def _ordinal(one: Difference) -> str:
    """One frame or set piece more, as it is said; nothing where it is counted."""
    if one.change != Change.MORE or one.by != 1 or one.now not in (2, 3):
        return ""
    said = {
        ("frames", 2): _("a second frame"),
        ("frames", 3): _("a third frame"),
        ("pieces", 2): _("a second set piece"),
        ("pieces", 3): _("a third set piece"),
    }
    return said.get((one.what, one.now), "")


def _part_words(one: Difference) -> str:
    said = {
        ("florals", Change.ADDED): _("florals"),
        ("florals", Change.LEFT_OUT): _("no florals"),
        ("florals", Change.MORE): _("more florals"),
        ("florals", Change.FEWER): _("fewer florals"),
        ("sign", Change.ADDED): _("a sign"),
        ("sign", Change.LEFT_OUT): _("no sign"),
        ("letterings", Change.ADDED): _("lettering"),
        ("letterings", Change.LEFT_OUT): _("no lettering"),
        ("letterings", Change.MORE): _("more lettering"),
        ("letterings", Change.FEWER): _("less lettering"),
    }
    more = _("more for the sign") if one.change == Change.MORE else _("less for the sign")
    return said.get((one.what, one.change), more)
