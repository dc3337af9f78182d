"""purfle compiles an instrument rebuilder's plain-text notes."""

__version__ = "0.1.0"
