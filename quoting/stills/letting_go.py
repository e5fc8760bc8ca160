"""Stills that nothing shows any more are let go, with their pictures."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from django.db import transaction
from django.utils import timezone

from quoting.models import Offer, SetPiece, Still
from quoting.stills import stills
from studio.models import StoredFile

KEPT: Final = timedelta(days=30)
"""How long a still stays that nothing shows: somebody who undoes a change finds its picture again."""
MOST_A_NIGHT: Final = 500


def let_go_unused() -> int:
    """Let go of the entered studio's old stills that no piece shows as it stands and no offer names; how many."""
    old = (
        Still.objects.filter(asked_at__lt=timezone.now() - KEPT).order_by("pk").defer("design")[:MOST_A_NIGHT]
    )
    waiting = list(old)
    if not waiting:
        return 0
    pieces = SetPiece.objects.values_list(*stills.SHOWN)
    shown = set(stills.keys_of(stills.Shown(*piece) for piece in pieces))
    unused = [still for still in waiting if still.key not in shown and not _is_offered(still)]
    for still in unused:
        _let_go(still)
    return len(unused)


# Private


def _is_offered(still: Still) -> bool:
    return Offer.objects.filter(frozen__contains=still.key).exists()


@transaction.atomic
def _let_go(still: Still) -> None:
    files = [pk for pk in (still.large_id, still.small_id) if pk is not None]
    still.delete()
    StoredFile.objects.filter(pk__in=files).delete()
