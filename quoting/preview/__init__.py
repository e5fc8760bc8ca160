"""An offer as its client will read it, before it is sent."""
