"""How a set piece is shown, on any page and on paper: its picture in a room, its measures in the studio's units."""
