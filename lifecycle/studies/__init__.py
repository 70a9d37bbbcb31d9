"""Studies: what the comparison does not say by itself, from doubt to what the figures imply."""
