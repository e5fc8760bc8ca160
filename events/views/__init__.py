"""Pages of the events room."""
