"""From what a quote needs to what it costs, and how it is paid."""
