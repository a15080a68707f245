"""Where the command line meets the edges (settings, clock, log, library, decoders); nothing else here does.

What takes long to load is loaded when it is asked for.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import TYPE_CHECKING

from intake.edges import clock, decoder_faults, log_files, server_address, settings

if TYPE_CHECKING:
    from intake.edges.store import library as store
    from intake.edges.store import reader
    from intake.reading import decoders as decoding

    Library = store.Library
    LibraryReader = reader.LibraryReader
    Decoder = decoding.Decoder

LIBRARY_VARIABLE = settings.LIBRARY_VARIABLE
PAPER_VARIABLE = settings.PAPER_VARIABLE
Settings = settings.Settings
LibraryPlace = server_address.LibraryPlace
ServerAddress = server_address.ServerAddress
place_of = server_address.place_of
read_settings = settings.read
lookup_urls = settings.lookup_urls
lookup_cache = settings.lookup_cache
SETTINGS_FILE = settings.SETTINGS_FILE
now = clock.now
today = clock.today
log_to_stderr = log_files.log_to_stderr
desk_log = log_files.desk_log
hush_libraries = decoder_faults.hush_libraries


def open_library(
    place: LibraryPlace, *, create: bool = False, on_wait: Callable[[str], None] = lambda _: None
) -> Library:
    """Open a library; see `intake.edges.store.library.open_library`.

    Args:
        place: the folder where it is, or will be; or the URL of its database.
        create: make a new library where there is none.
        on_wait: is called where a step waits for its turn to write, with a sentence on who writes.
    """
    from intake.edges.store import library  # noqa: PLC0415 - a third of a second that help does without
    from intake.edges.store.engines import faults  # noqa: PLC0415 - as above

    opened = library.open_library(place, create=create)
    opened.on_wait = lambda note: on_wait(f"Waiting: the library {faults.writer_words(note)}.")
    return opened


def is_library(place: LibraryPlace) -> bool:
    """Return whether a folder, or the database that a URL names, is a library."""
    from intake.edges.store.library import is_library as is_one  # noqa: PLC0415 - as above

    return is_one(place)


def look_at_library(place: LibraryPlace) -> AbstractContextManager[Library]:
    """Open a library so that it stays as it is; see `intake.edges.store.untouched`."""
    from intake.edges.store.untouched import untouched  # noqa: PLC0415 - as above

    return untouched(place)


def decoders() -> tuple[Decoder, ...]:
    """Return the decoders that are installed."""
    from intake.reading.decoders import available  # noqa: PLC0415 - as above

    return available()


def missing_decoder() -> str | None:
    """Return which decoder is missing and how to install it; None if none is."""
    from intake.reading.decoders import install_hint  # noqa: PLC0415 - as above

    return install_hint()
