"""Databases of their own for tests, on the PostgreSQL server that the environment names (PGHOST and the others).

`pg_virtualenv` sets these, and makes the server too. A made library is copied as a template, which takes a tenth of a
second.
"""

import os
import secrets
from pathlib import Path

import pytest

from intake.edges.server_address import ServerAddress

IS_THERE = bool(os.environ.get("PGHOST"))
WHY_NOT = "needs a PostgreSQL server: run the tests under pg_virtualenv (Debian: postgresql, postgresql-common)"
needs_server = pytest.mark.skipif(not IS_THERE, reason=WHY_NOT)


class Databases:
    """The databases that were made so far and not dropped, by the folder that a test named."""

    def __init__(self) -> None:
        self.by_folder: dict[Path, str] = {}
        self.kept: list[str] = []

    def make(self, template: str = "template1", *, name: str = "") -> str:
        """Make a database and return its name."""
        name = name or f"intake_test_{os.getpid()}_{secrets.token_hex(4)}"
        execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        return name

    def copy(self, made: Path, folder: Path) -> None:
        """Copy the database of one folder for another, in place of the one that this may have, under its name."""
        name = self.by_folder.get(folder, "")
        if name:
            self.drop(name)
        self.by_folder[folder] = self.make(self.by_folder[made], name=name)

    def drop(self, name: str) -> None:
        """Drop a database, whoever is connected."""
        execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')


def execute(statement: str, database: str = "postgres") -> list[tuple[object, ...]]:
    """Execute a statement on a database of the server, without a transaction."""
    import psycopg  # noqa: PLC0415 - an optional part

    with psycopg.connect(dbname=database, autocommit=True) as connection:
        done = connection.execute(statement)
        return done.fetchall() if done.description else []


def address_of(name: str, host: str = "") -> ServerAddress:
    """Return the address of a database; the rest is in the environment."""
    return ServerAddress(f"postgresql://{host}/{name}")


DATABASES = Databases()
