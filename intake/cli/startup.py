"""Where the command line meets the edges (settings, clock, log, library, decoders); nothing else here does.

What takes long to load is loaded when it is asked for.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING

from intake.edges import clock, decoder_faults, log_files, settings

if TYPE_CHECKING:
    from intake.edges.store import library as store
    from intake.edges.store import reader
    from intake.reading import decoders as decoding

    Library = store.Library
    LibraryReader = reader.LibraryReader
    Decoder = decoding.Decoder

LIBRARY_VARIABLE = settings.LIBRARY_VARIABLE
Settings = settings.Settings
read_settings = settings.read
lookup_urls = settings.lookup_urls
lookup_cache = settings.lookup_cache
SETTINGS_FILE = settings.SETTINGS_FILE
now = clock.now
today = clock.today
log_to_stderr = log_files.log_to_stderr
desk_log = log_files.desk_log
hush_libraries = decoder_faults.hush_libraries


def open_library(folder: Path, *, create: bool = False, on_wait: Callable[[str], None] = lambda _: None) -> Library:
    """Open the library in a folder; see `intake.edges.store.library.open_library`.

    Args:
        folder: where it is, or will be.
        create: make a new library where there is none.
        on_wait: is called where a step waits for its turn to write, with a sentence on who writes.
    """
    from intake.edges.store import faults, library  # noqa: PLC0415 - a third of a second that help does without

    opened = library.open_library(folder, create=create)
    opened.on_wait = lambda note: on_wait(f"Waiting: the library {faults.writer_words(note)}.")
    return opened


def is_library(folder: Path) -> bool:
    """Return whether a folder is a library."""
    from intake.edges.store.library import is_library as is_one  # noqa: PLC0415 - as above

    return is_one(folder)


def look_at_library(folder: Path) -> AbstractContextManager[Library]:
    """Open the library in a folder so that it stays as it is; see `intake.edges.store.untouched`."""
    from intake.edges.store.untouched import untouched  # noqa: PLC0415 - as above

    return untouched(folder)


def decoders() -> tuple[Decoder, ...]:
    """Return the decoders that are installed."""
    from intake.reading.decoders import available  # noqa: PLC0415 - as above

    return available()


def missing_decoder() -> str | None:
    """Return which decoder is missing and how to install it; None if none is."""
    from intake.reading.decoders import install_hint  # noqa: PLC0415 - as above

    return install_hint()
