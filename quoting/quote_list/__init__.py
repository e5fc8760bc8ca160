"""All quotes: the list, starting one, copying one to another event."""
