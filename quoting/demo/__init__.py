"""The demo: two invented studios, each a readable scenario, loaded through the product's own functions."""

from studio.people.demo_guide import PASSWORD

__all__ = ["PASSWORD"]
