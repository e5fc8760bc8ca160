"""A set piece fitted: to a budget, to the colours that are free, to the room it stands in. Proposals, never changes."""
