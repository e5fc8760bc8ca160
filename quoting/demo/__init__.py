"""The demo: two invented studios, each a readable scenario, loaded through the product's own functions."""

from typing import Final

PASSWORD: Final = "garland-on-a-string"  # noqa: S105 - the demo's, printed for whoever starts it
