"""One module for each question: a study's result becomes blocks and plain data."""
