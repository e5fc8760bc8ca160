"""Design templates: kept, seen whole, shared as files."""
