"""Pages of the quoting room."""
