"""The first shelf: a studio ticks what it owns among the usual things, each with a usual cost to be checked."""
