"""Invoices and credit notes, what was paid on them, and reminding of what wasn't."""
