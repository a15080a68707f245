"""Random tokens: the only place that draws random numbers, from the operating system's source for secrets."""

import secrets

LETTERS = "BCDFGHJKMNPQRTVWXYZ2346789"
"""No vowels, so that no words result, and no characters that look alike."""


def token() -> str:
    """Return 32 random bytes as text that is safe in a URL or a cookie."""
    return secrets.token_urlsafe(32)


def code(length: int) -> str:
    """Return random letters and digits that are easy to copy from a screen."""
    return "".join(secrets.choice(LETTERS) for _ in range(length))
