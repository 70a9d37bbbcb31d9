"""Records: what was measured and seen on roofs that exist."""
