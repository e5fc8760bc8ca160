"""Errors of the trade's arithmetic: one family under one class."""

from __future__ import annotations


class CraftError(ValueError):
    """A quantity lies outside what the arithmetic can answer for; the message says what is allowed."""
