"""Life-cycle cost of keeping, renewing or coating the roof of a coach."""

__version__ = "0.1.0"
