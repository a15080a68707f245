"""A step that waits until it can be done, while others write to the library.

A booking keeps the id of its request, so that doing it again changes nothing that was done already.
"""

import time
from collections.abc import Callable
from typing import TypeVar

from intake.errors import LibraryBusyError

PAUSE_S = 1.0
_Result = TypeVar("_Result")


def until_free(step: Callable[[], _Result], on_busy: Callable[[LibraryBusyError], None]) -> _Result:
    """Do a step; do it again for as long as it ends because others write.

    Args:
        step: what is done.
        on_busy: is called after each try that ended so, before the next.
    """
    while True:
        try:
            return step()
        except LibraryBusyError as error:
            on_busy(error)
            time.sleep(PAUSE_S)
