"""A quote's set pieces worked out and changed, each change one step that undo takes back."""
