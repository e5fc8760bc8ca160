"""The papers of an event: what there is to print, and how to write it out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from django.http import Http404
from django.utils.translation import gettext_lazy as _

from events.loadout import list_papers
from events.schedule import run_sheet_paper
from studio.models import Studio
from studio.paper import written_out
from studio.paper.pdf import Paper
from studio.paper.written_out import WrittenOut

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


@dataclass(frozen=True, slots=True)
class PaperKind:
    """One paper that an event has; ``page`` is the page that shows the same."""

    code: str
    name: StrOrPromise
    page: str
    write: Callable[[int, Studio], WrittenOut]


KINDS: Final[Mapping[str, PaperKind]] = {
    kind.code: kind
    for kind in (
        PaperKind("run-sheet", _("Run sheet"), "events:run-sheet", run_sheet_paper.write_run_sheet),
        PaperKind("load-out", _("Load-out list"), "events:load-out", list_papers.write_load_out),
        PaperKind("return-list", _("Return list"), "events:return-list", list_papers.write_return_list),
    )
}


def find_kind(code: str) -> PaperKind:
    """The paper of that code. Raises ``Http404``."""
    if code not in KINDS:
        raise Http404
    return KINDS[code]


def order(kind: PaperKind, event_id: int, studio: Studio) -> str:
    """Have the worker print it as it stands now; the digest by which to find it. Raises ``Http404``, ``TooMuch``."""
    return written_out.order(kind.write(event_id, studio))


def find(kind: PaperKind, event_id: int, digest: str) -> Paper:
    """How an ordered paper stands. Raises ``Http404`` where nobody ordered it."""
    return written_out.find(f"{kind.code}-{event_id}", digest)
