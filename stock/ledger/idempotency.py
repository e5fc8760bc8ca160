"""Idempotency: a second request under the same key gets the first answer again."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from typing import Final, TypeVar

import msgspec
from django.core.exceptions import ValidationError
from django.db import transaction

from stock.models import KeptAnswer

LONGEST_KEY: Final = 120

Answer = TypeVar("Answer")


class KeyTaken(ValidationError):
    """The key was used for another request before."""


def once(
    key: str, asked: Mapping[str, object], answer_type: type[Answer], write: Callable[[], Answer]
) -> Answer:
    """Return the answer of ``write``, which runs only if no earlier request used ``key``.

    An insert claims the key first, so two simultaneous requests wait for each other; the answer is stored in the
    same transaction. If ``write`` refuses, nothing is stored and the key is free. ``asked`` must be JSON; the answer
    is a frozen record or plain JSON of ``answer_type``. Raises :class:`KeyTaken` if the key was used for another
    request.
    """
    if not key or len(key) > LONGEST_KEY:
        raise ValidationError(f"A key has 1 to {LONGEST_KEY} characters.")
    fingerprint = _fingerprint(asked)
    with transaction.atomic():
        KeptAnswer.objects.bulk_create([KeptAnswer(key=key, fingerprint=fingerprint)], ignore_conflicts=True)
        kept = KeptAnswer.objects.get(key=key)
        # Another request's row is visible only after its transaction, and by then it has its answer.
        if kept.answer is None:
            answer = write()
            KeptAnswer.objects.filter(pk=kept.pk).update(answer=msgspec.to_builtins(answer))
            return answer
        if kept.fingerprint != fingerprint:
            raise KeyTaken(f"The key {key} was already used for another request.")
        return msgspec.convert(kept.answer, answer_type)


def _fingerprint(asked: Mapping[str, object]) -> str:
    return hashlib.sha256(json.dumps(asked, sort_keys=True, default=str).encode()).hexdigest()
