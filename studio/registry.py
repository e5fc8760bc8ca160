"""What a lower room asks of higher ones: they register with it by name when the apps are ready."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Generic, TypeVar

Provider = TypeVar("Provider", bound=Callable[..., object])


class Registry(Generic[Provider]):
    """The providers of one thing, in order of registration.

    >>> greetings = Registry[Callable[[str], str]]()
    >>> @greetings.register
    ... def politely(name: str) -> str:
    ...     return f"Dear {name}"
    >>> [greet("Ines") for greet in greetings]
    ['Dear Ines']
    """

    def __init__(self) -> None:
        self._providers: list[Provider] = []

    def register(self, provider: Provider) -> Provider:
        """Have ``provider`` asked from now on. Registering twice is once."""
        if provider not in self._providers:
            self._providers.append(provider)
        return provider

    def __iter__(self) -> Iterator[Provider]:
        return iter(self._providers)
