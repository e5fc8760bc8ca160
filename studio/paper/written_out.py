"""Papers written out as a page knows things now, and printed by the worker.

What stands on such a paper is settled when it is asked for: a tick that comes in meanwhile, or who may see what, makes
no difference to it. The same words are the same paper. Whoever asked gets it within minutes; after a day it is let go.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from django.http import Http404
from django.template.loader import render_to_string
from django.utils import timezone

from studio.models import OutboxEntry, StoredFile
from studio.outbox import entries
from studio.paper import pdf
from studio.tenancy.fair_share import PAPERS

TASK: Final = "studio.print_paper"
KEPT_FOR: Final = timedelta(days=1)
DIGITS: Final = 32
"""Of the digest in a paper's name: 128 bits, so that only who knows the words knows the name."""


@dataclass(frozen=True, slots=True)
class WrittenOut:
    """A paper in words, not printed yet; ``about`` says of what it is: ``run-sheet-7``."""

    about: str
    html: str

    @property
    def digest(self) -> str:
        """What tells it from other papers about the same."""
        return hashlib.sha256(self.html.encode()).hexdigest()[:DIGITS]


def write_out(about: str, template: str, context: Mapping[str, object]) -> WrittenOut:
    """The template's words with what is known now."""
    return WrittenOut(about, render_to_string(template, dict(context)))


def order(paper: WrittenOut) -> str:
    """Have the worker print it; its digest, by which to find it. Ordered twice, it is printed once.

    Raises :class:`studio.tenancy.fair_share.TooMuch`.
    """
    name = file_name(paper.about, paper.digest)
    entries.write(TASK, share=PAPERS, key=name, name=name, html=paper.html)
    return paper.digest


def find(about: str, digest: str) -> pdf.Paper:
    """How an ordered paper stands. Two or three queries. Raises ``Http404`` where nobody ordered it."""
    name = file_name(about, digest)
    if not OutboxEntry.objects.filter(task=TASK, key=name).exists():
        raise Http404
    return pdf.standing(name)


def print_out(name: str, html: str) -> StoredFile:
    """Print and keep it. The worker calls this."""
    return pdf.kept(name, lambda: pdf.printed(html))


def let_go_old() -> int:
    """Let go of what was ordered longer than a day ago, printed or not; how many papers that were."""
    old = OutboxEntry.objects.filter(task=TASK, written_at__lt=timezone.now() - KEPT_FOR)
    names = list(old.values_list("key", flat=True))
    StoredFile.objects.filter(name__in=names).delete()
    old.filter(key__in=names).delete()
    return len(names)


def file_name(about: str, digest: str) -> str:
    """The name of the stored file and the key of its order."""
    return f"{about}-{digest}.pdf"
