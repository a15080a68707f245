"""The archive that the desk writes at each day's first change, where that is set, and how old the last one is."""

import asyncio
import logging
from pathlib import Path

from intake.desk import desk_startup
from intake.errors import IntakeError
from intake.flow.safekeeping.backups import back_up_daily, backup_state, backup_words

EVERY_S = 30

logger = logging.getLogger(__name__)


def backup_line(folder: Path, entries: int) -> str:
    """Return how old the last backup is, as a sentence; see `backup_words`."""
    return backup_words(backup_state(folder), entries, desk_startup.now(), with_place=False)


async def write_daily(library: desk_startup.Library) -> None:
    """Write the archive of each day soon after its first change, beside the requests; a failure is logged."""
    while True:
        await asyncio.sleep(EVERY_S)
        await asyncio.to_thread(_write, library)


def _write(library: desk_startup.Library) -> None:
    try:
        archive = back_up_daily(library, desk_startup.now(), desk_startup.today())
    except IntakeError as error:
        logger.warning("the daily backup was not written: %s", error)
    else:
        if archive is not None:
            logger.info("wrote the daily backup %s", archive)
