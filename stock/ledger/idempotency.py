"""Do a thing once: a second asking under the same key gets the first answer again."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction

from stock.models import KeptAnswer

LONGEST_KEY: Final = 120


class KeyTaken(ValidationError):
    """The key was used before for something else."""


def once(key: str, asked: Mapping[str, Any], deed: Callable[[], dict[str, Any]]) -> dict[str, Any]:
    """The answer of ``deed``, done only if no other asking under ``key`` was answered before.

    The key is claimed by an insert before anything else is done, so that two presses at the same moment wait
    for one another; the answer is written in the same transaction. If ``deed`` refuses, nothing is kept and
    the key is free. ``asked`` and the answer must be JSON. Raises :class:`KeyTaken` if the key was used for
    something else.
    """
    if not key or len(key) > LONGEST_KEY:
        raise ValidationError(f"A key has 1 to {LONGEST_KEY} characters.")
    fingerprint = _fingerprint(asked)
    with transaction.atomic():
        KeptAnswer.objects.bulk_create([KeptAnswer(key=key, fingerprint=fingerprint)], ignore_conflicts=True)
        kept = KeptAnswer.objects.get(key=key)
        # Nobody else's row is seen before its transaction ends, and by then it has its answer.
        if kept.answer is None:
            answer = deed()
            KeptAnswer.objects.filter(pk=kept.pk).update(answer=answer)
            return answer
        if kept.fingerprint != fingerprint:
            raise KeyTaken(f"The key {key} was used for something else already.")
        return dict(kept.answer)


def _fingerprint(asked: Mapping[str, Any]) -> str:
    return hashlib.sha256(json.dumps(asked, sort_keys=True, default=str).encode()).hexdigest()
