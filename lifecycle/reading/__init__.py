"""Reading a parsed scenario: its sections, its numbers, what it takes over, and every fault."""

from lifecycle.reading.scenario import read_scenario

__all__ = ["read_scenario"]
