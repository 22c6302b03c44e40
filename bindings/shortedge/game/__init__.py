"""A game: its tables read and mapped, its plays, and the geometry of single points."""
