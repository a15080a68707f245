"""Chance: the only place that draws random numbers, from the operating system's source for secrets."""

import secrets

LETTERS = "BCDFGHJKMNPQRTVWXYZ2346789"
"""No vowels, so that no word comes out, and nothing that is taken for something else by eye."""


def token() -> str:
    """Return 32 random bytes as text that may stand in an address or a cookie."""
    return secrets.token_urlsafe(32)


def code(length: int) -> str:
    """Return random letters and figures that are easily typed from a screen."""
    return "".join(secrets.choice(LETTERS) for _ in range(length))
