"""Pages of the stock room."""
