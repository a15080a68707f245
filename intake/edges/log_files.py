"""Where the program's log goes: standard error on the command line, a rotating file beside the library for the desk.

What is logged is how the program works (what was opened, how long it took, what failed), never what the books are worth
nor anything that lets somebody in: no value, no key, no code, no query string of an address.
"""

import logging
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from logging.handlers import RotatingFileHandler
from pathlib import Path

ROOT = "intake"
"""The logger of the package; each module logs under its own name below it."""
FORMAT = "%(asctime)s %(levelname)s %(name)s: %(message)s"
MOST_BYTES = 1_000_000
KEPT_FILES = 3
DESK_LOG = Path("logs") / "desk.log"


def log_to_stderr() -> None:
    """Show on standard error what the program does, for a person who asked for it."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(logging.Formatter(FORMAT))
    logger = logging.getLogger(ROOT)
    logger.handlers = [handler]
    logger.setLevel(logging.DEBUG)


class _QuietFile(RotatingFileHandler):
    """A file whose loss, with the folder that was unplugged, is nothing to fill the terminal with: the desk says it."""

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802 - the name that logging calls
        """Go on without this line."""


@contextmanager
def desk_log(library: Path) -> Iterator[Path | None]:
    """Log into a file in the library's folder for as long as the desk is open; old files are dropped.

    Yields:
        The file, None where it cannot be written: the desk works without it.
    """
    path = library / DESK_LOG
    try:
        path.parent.mkdir(exist_ok=True)
        handler = _QuietFile(path, maxBytes=MOST_BYTES, backupCount=KEPT_FILES, encoding="utf-8")
    except OSError:
        yield None
        return
    handler.setFormatter(logging.Formatter(FORMAT))
    logger = logging.getLogger(ROOT)
    level = logger.level
    logger.addHandler(handler)
    logger.setLevel(min(level, logging.INFO) if level else logging.INFO)
    try:
        yield path
    finally:
        logger.removeHandler(handler)
        logger.setLevel(level)
        handler.close()
