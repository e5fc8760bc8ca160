"""The drawing table: a design of the studio's own, built from frames, garlands and things by hand."""
