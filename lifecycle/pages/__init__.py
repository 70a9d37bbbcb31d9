"""Pages in a browser: the server with its guard, and the panels that show answers and ask questions."""
