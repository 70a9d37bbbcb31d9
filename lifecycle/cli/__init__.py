"""The command line: a table of commands, and what each does with its arguments."""

from lifecycle.cli.main import main

__all__ = ["main"]
