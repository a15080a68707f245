"""Whether a place is inside itself: a walk up to its room has no end then, and a walk down passes it over.

The program refuses to make such a circle; a hand that edits with another tool does not. Places are few, so that all are
looked at.
"""

from collections.abc import Iterator, Mapping

from sqlalchemy import Connection, select

from intake.edges.store.engines.sqlite import undecoded
from intake.edges.store.rows import CHECK
from intake.edges.store.tables import TABLES
from intake.errors import StoreError
from intake.model.places import Place

_PLACE = TABLES[Place].c
MOST_NAMED, LONGEST = 10, 60

Parents = Mapping[str, str | None]
"""From the number of a place to that of the place it is in; None for a room."""


def first_circle(connection: Connection) -> tuple[str, ...]:
    """Return the numbers of places of which each is in the next, and the last in the first; none where all is well."""
    with undecoded(connection):
        rows = connection.execute(select(_PLACE.number, _PLACE.parent).order_by(_PLACE.number)).all()
    return circle_among({str(row.number): None if row.parent is None else str(row.parent) for row in rows})


def circle_among(parents: Parents) -> tuple[str, ...]:
    """Return the first circle among places; see `first_circle`.

    >>> circle_among({"S1": None, "S2": "S1", "S3": "S4", "S4": "S5", "S5": "S4"})
    ('S4', 'S5')
    """
    sound: set[str] = set()
    for number in parents:
        passed: dict[str, None] = {}
        for above in _upwards(parents, number):
            if above in sound:
                break
            if above in passed:
                walk = list(passed)
                return tuple(walk[walk.index(above) :])
            passed[above] = None
        sound |= passed.keys()
    return ()


def _upwards(parents: Parents, number: str) -> Iterator[str]:
    at: str | None = number
    while at is not None:  # without end in a circle: who walks looks where it has been
        yield at
        at = parents.get(at)


def circle_words(circle: tuple[str, ...]) -> str:
    """Return the way round a circle.

    >>> circle_words(("S4", "S5"))
    'S4 in S5 in S4'
    """
    way = " in ".join(number[:LONGEST] for number in (*circle[:MOST_NAMED], circle[0]))
    return way if way.isprintable() else ascii(way)


def circle_error(circle: tuple[str, ...]) -> StoreError:
    """Return the error for a circle."""
    number = circle[0][:LONGEST]
    name = number if number.isprintable() else ascii(number)
    return StoreError(f"Place {name}", f"is damaged: it is inside itself ({circle_words(circle)})", CHECK)
