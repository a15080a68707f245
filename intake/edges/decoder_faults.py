"""What libraries throw and print while they work on a picture.

A decoder of pictures or symbols is C code behind a binding: no list of the exceptions that a damaged or odd file makes
it throw is ever complete, and some write to standard error by themselves. Here the one becomes a refusal of that
picture, with its reason, and the other goes nowhere.
"""

import importlib
import logging
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from intake.errors import FileError, IntakeError

logger = logging.getLogger(__name__)

REMEDY = "take the picture again, or save it again as JPEG or PNG"
STANDARD_ERROR = 2


@contextmanager
def refusing(thing: str, why: str, remedy: str = REMEDY) -> Iterator[None]:
    """Raise whatever is thrown inside the block as a refusal of a picture; this program's own errors pass.

    Args:
        thing: the picture, as the person knows it.
        why: what is wrong with it; what the system says of a file follows in brackets. The library's own words mean
            nothing to who took the picture: they are in the log.
        remedy: what to do.

    Raises:
        FileError: something was thrown.
    """
    try:
        yield
    except IntakeError:
        raise
    except MemoryError as error:
        raise FileError(thing, "needs more memory than there is", "scale it down or crop it") from error
    except Exception as error:
        logger.debug("a decoder stopped at %s", thing, exc_info=error)
        said = f" ({reason(error)})" if isinstance(error, OSError) and error.strerror else ""
        raise FileError(thing, f"{why}{said}", remedy) from error


def reason(error: BaseException) -> str:
    """Return an error in one line, without the file's name, which the message already contains."""
    text = getattr(error, "strerror", None) or str(error) or type(error).__name__
    return " ".join(str(text).split())


def _prompts_elsewhere() -> bool:
    if sys.stdin is None or not sys.stdin.isatty():
        return True
    try:
        importlib.import_module("readline")
    except ImportError:
        return False
    return True


def hush_libraries() -> None:
    """Keep what C libraries print by themselves off the terminal, for the rest of this process.

    Python's standard error keeps the way to the terminal that it has; the file descriptor that libtiff, OpenCV and
    FFmpeg write to leads nowhere. Processes begun later inherit that. What is wrong with a picture is an exception too.

    At a terminal that needs readline, which writes prompts to standard output: without it Python's own `input` writes
    them to that very descriptor (PyOS_StdioReadline), and then everything stays as it is.
    """
    logging.getLogger().addHandler(logging.NullHandler())  # else Python prints warnings of libraries' loggers
    try:
        if sys.stderr is None or sys.stderr.fileno() != STANDARD_ERROR or not _prompts_elsewhere():
            return
        sys.stderr.flush()
        own = os.dup(STANDARD_ERROR)
        nowhere = os.open(os.devnull, os.O_WRONLY)
    except (OSError, ValueError):  # there is no standard error, or it is closed
        return
    sys.stderr = open(own, "w", encoding=sys.stderr.encoding, errors="backslashreplace", buffering=1)  # noqa: PTH123, SIM115 - a descriptor, for as long as the process lives
    os.dup2(nowhere, STANDARD_ERROR)
    os.close(nowhere)
