"""Planning a span of days: who goes where, with which van, when. A proposal, never a silent change."""
