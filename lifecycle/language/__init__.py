"""Words: the one place for labels, sentences and numbers as text."""
