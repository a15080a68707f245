"""Which database a library has, by what it is named: that in a folder, or the one of a URL.

What knows servers is loaded where a library is on one: its client library is an optional part.
"""

from collections.abc import Callable
from datetime import datetime

from intake.edges.server_address import LibraryPlace, ServerAddress
from intake.edges.store.engines.port import StoreEngine
from intake.edges.store.engines.server_connection import require_client
from intake.edges.store.engines.sqlite_open import is_folder_library, open_folder


def is_library(place: LibraryPlace) -> bool:
    """Return whether a folder, or the database that a URL names, is a library.

    Raises:
        StoreError: the server cannot be reached, or the database is another program's.
    """
    if not isinstance(place, ServerAddress):
        return is_folder_library(place)
    require_client(place)
    from intake.edges.store.engines.server_open import look_at  # noqa: PLC0415 - an optional part

    return look_at(place).is_library


def open_engine(
    place: LibraryPlace, now: Callable[[], datetime], *, create: bool = False, migrates: bool = True
) -> StoreEngine:
    """Open the database of a library, and bring it up to date.

    Args:
        place: the folder, or the URL.
        now: the clock.
        create: make a new library where there is none.
        migrates: bring it up to date; on a server one of an older version is refused else.

    Raises:
        StoreError: it is not a library, was made by a newer version, or cannot be used; nothing was changed.
    """
    if not isinstance(place, ServerAddress):
        return open_folder(place, create=create, now=now)
    require_client(place)
    from intake.edges.store.engines.server_open import open_server  # noqa: PLC0415 - as above

    return open_server(place, create=create, migrates=migrates)
