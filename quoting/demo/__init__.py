"""The demo: two invented studios, each a readable scenario, loaded through the product's own functions."""
