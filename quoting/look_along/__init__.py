"""Look-along: the client sees the sketch as it changes; and who else is at a quote."""
