"""How laws are tried: as many examples as usual, without a clock, since a busy machine is no fault in a
law."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("patient", deadline=None)
settings.register_profile("thorough", deadline=None, max_examples=2000)
settings.load_profile("patient")
