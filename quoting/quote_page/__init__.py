"""What the quote page shows, and the fields that stand on it."""
