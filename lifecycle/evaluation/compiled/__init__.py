"""The exact expectation compiled: the same model as one pass in C, and how it comes to be used."""
