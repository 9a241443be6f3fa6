"""Commands on a board file itself: begin one, look at it, list it."""
