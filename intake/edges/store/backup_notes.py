"""What a library's folder notes of its backups, beside the archives: how many to keep, and which was written last.

    backups/schedule.json    {"keep": 14}
    backups/last.json        {"made": "2026-05-01T09:30:00.000000+00:00", "file": "…", "entries": 147, "head": "…"}
    backups/not-whole.json   the same, of the last archive of a library that was not whole
    backups/more.json         the same, of an archive that has more than this library, which was made with a loss
    backups/2026-05-01.zip   the archive of a day's first change
    backups/2026-05-01-not-whole.zip   the same, of a library that was not whole

They are not of the ledger, for they are of this folder and not of the books.
"""

import json
import re
import shlex
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import date, datetime
from pathlib import Path

from intake.edges.atomic_write import save_own
from intake.edges.server_address import LibraryPlace, ServerAddress, folder_of
from intake.edges.store.last_entry import noted_entry
from intake.errors import StoreError
from intake.units.advice import advice

BACKUPS = "backups"
DAILY = re.compile(r"\d{4}-\d{2}-\d{2}\.zip")
DAILY_NOT_WHOLE = re.compile(r"\d{4}-\d{2}-\d{2}-not-whole\.zip")
_LAST = {True: "last.json", False: "not-whole.json"}
MORE = "more.json"
MOST_KEPT = 1000
AT_DESK = "keep it as it is; whoever keeps the desk's computer can restore it there, as the README tells"
"""A library is made anew at its computer, where no desk has it open."""


@dataclass(frozen=True, slots=True)
class BackupNote:
    """The archive that was written last.

    Attributes:
        made: when.
        file: where to.
        entries: number of the latest entry in it.
        head: its digest.
    """

    made: datetime
    file: str
    entries: int
    head: str


def kept_daily(folder: Path) -> int:
    """Return how many daily archives are kept; 0 where none is written, or the note cannot be read."""
    try:
        keep = json.loads((folder / BACKUPS / "schedule.json").read_bytes())["keep"]
    except (OSError, ValueError, TypeError, LookupError):
        return 0
    return keep if isinstance(keep, int) and 0 < keep <= MOST_KEPT else 0


def keep_daily(folder: Path, keep: int) -> None:
    """Note how many daily archives to keep; 0 for none.

    Raises:
        StoreError: it cannot be written.
    """
    try:
        _save(folder / BACKUPS / "schedule.json", {"keep": keep})
    except OSError as error:
        raise _cannot(folder, error) from error


def last_backup(folder: Path, *, whole: bool = True) -> BackupNote | None:
    """Return the archive that was written last; None where there is none, or the note cannot be read.

    Args:
        folder: of the library.
        whole: of the library while it was whole; else the last one of it while it was not.
    """
    return _note(folder, _LAST[whole])


def archive_with_more(folder: Path) -> BackupNote | None:
    """Return the archive that has entries which a library lacks, for it was made with a loss; None for any other."""
    return _note(folder, MORE)


def _note(folder: Path, name: str) -> BackupNote | None:
    try:
        plain = json.loads((folder / BACKUPS / name).read_bytes())
        made = datetime.fromisoformat(plain["made"])
        note = BackupNote(made, str(plain["file"]), int(plain["entries"]), str(plain["head"]))
    except (OSError, ValueError, TypeError, LookupError):
        return None
    return note if made.tzinfo is not None else None


def note_backup(folder: Path, note: BackupNote, *, whole: bool = True) -> None:
    """Note an archive, of a library that was whole or not; where it may only be read, nothing is noted."""
    _keep(folder, _LAST[whole], note)


def note_archive_with_more(folder: Path, note: BackupNote) -> None:
    """Note an archive that has entries which a library lacks; see `archive_with_more`."""
    _keep(folder, MORE, note)


def _keep(folder: Path, name: str, note: BackupNote) -> None:
    with suppress(OSError):
        _save(folder / BACKUPS / name, {**asdict(note), "made": note.made.isoformat()})


def daily_file(folder: Path, day: date, *, whole: bool = True) -> Path:
    """Return the archive of a day's first change, of a library that was whole or not."""
    return folder / BACKUPS / f"{day.isoformat()}{'' if whole else '-not-whole'}.zip"


def drop_oldest(folder: Path, keep: int) -> tuple[Path, ...]:
    """Remove all daily archives but the latest, and return those that were removed.

    Those of a library that was not whole are counted apart, so that they never push out one that is better.

    Raises:
        StoreError: one cannot be removed.
    """
    old: tuple[Path, ...] = ()
    for form in (DAILY, DAILY_NOT_WHOLE):
        archives = sorted(path for path in (folder / BACKUPS).glob("*.zip") if form.fullmatch(path.name))
        old += tuple(archives[: max(len(archives) - keep, 0)])
    try:
        for path in old:
            path.unlink()
    except OSError as error:
        raise _cannot(folder, error) from error
    return old


def latest_archive(folder: Path) -> Path | None:
    """Return the newest archive of the library while it was whole that is known and still there.

    That is the one noted last, or the latest of the daily ones.
    """
    daily = max((path for path in (folder / BACKUPS).glob("*.zip") if DAILY.fullmatch(path.name)), default=None)
    noted = last_backup(folder)
    if (
        noted is not None
        and Path(noted.file).is_file()
        and (daily is None or noted.made.date().isoformat() >= daily.stem)
    ):
        return Path(noted.file)
    return daily


def _save(path: Path, plain: object) -> None:
    path.parent.mkdir(mode=0o700, exist_ok=True)
    save_own(path, json.dumps(plain).encode())


def _cannot(folder: Path, error: OSError) -> StoreError:
    why = f"cannot be written ({error.strerror or error})"
    return StoreError(f"The folder {folder / BACKUPS}", why, "make it writable, or make room on the disk")


def way_back(place: LibraryPlace) -> str:
    """Return how to get a library back whose database is damaged: from its own ledger, which has every record.

    One on a server comes back from its archive.
    """
    if isinstance(place, ServerAddress):
        return archive_way(place)
    return advice(
        f"keep it as it is, and make it anew from its ledger: intake restore {_quoted(place)} --to {_new(place)}",
        AT_DESK,
    )


def carried_way(address: ServerAddress) -> str:
    """Return how to get a library on a server back that can be read, and whose ledger is whole: with nothing lost."""
    return advice(
        "keep it as it is, and make it anew from its ledger, in a folder: "
        f"intake --library {shlex.quote(str(address))} backup CARRIED.zip; "
        "intake restore CARRIED.zip --to CARRIED; intake restore CARRIED --to ANEW "
        f"(the first two say that it is not whole); a backup of ANEW is then restored --to {_new(address)}",
        AT_DESK,
    )


def ways_back(place: LibraryPlace) -> str:
    """Return how to get a library back of which nobody knows yet whether its ledger is damaged too: by both ways."""
    if isinstance(place, ServerAddress) or latest_archive(place) is None:
        return way_back(place)
    both = f"{way_back(place)}; where that is refused, for the ledger is damaged too, {archive_way(place)}"
    return advice(both, AT_DESK)


def way_with_loss(folder: LibraryPlace) -> str:
    """Return how to make a library from a ledger that does not have everything, as the end of a remedy."""
    if isinstance(folder, ServerAddress):
        return archive_way(folder)
    return advice(f"intake restore {_quoted(folder)} --to {_new(folder)} --accept-loss", AT_DESK)


def ways_after_loss(place: LibraryPlace, without: str, *, outlives_archive: bool) -> str:
    """Return both ways on where the end of a ledger is lost, the one that keeps more of it first.

    Args:
        place: of the library.
        without: the way without what was lost.
        outlives_archive: whether what is left of the ledger has more than the latest archive.
    """
    less = f"{without}; its latest archive would bring back less, for this ledger goes on after it"
    return advice(less if outlives_archive else f"{archive_way(place)}; or {without}", AT_DESK)


def ways_after_lost_pictures(folder: Path) -> str:
    """Return both ways on where pictures are in no file: another archive, or without them."""
    return advice(
        f"name an archive that has them: intake restore {_quoted(folder)} --to {_new(folder)} "
        f"--pictures-from ARCHIVE.zip; or make it without them: {way_with_loss(folder)}",
        AT_DESK,
    )


def way_with_pictures(folder: LibraryPlace, archive: Path | None) -> str:
    """Return how to get pictures back, as a remedy.

    Args:
        folder: of the library, or its address.
        archive: the latest, if it has any of them; None where none is known that has.
    """
    if isinstance(folder, ServerAddress):
        return archive_way(folder)
    if archive is None:  # none is known that has one of them
        return ways_after_lost_pictures(folder)
    return advice(
        f"keep it as it is, and make it anew from its ledger, with the pictures that {_quoted(archive)} has: "
        f"intake restore {_quoted(folder)} --to {_new(folder)}",
        AT_DESK,
    )


def archive_way(place: LibraryPlace) -> str:
    """Return how to get a library back from its latest archive."""
    archive = latest_archive(folder_of(place))
    if archive is None:
        return advice(f"restore an archive of it: intake restore ARCHIVE.zip --to {_new(place)}", AT_DESK)
    without = _without(folder_of(place), archive)
    return advice(f"restore its latest archive{without}: intake restore {_quoted(archive)} --to {_new(place)}", AT_DESK)


def unpacked_way(folder: Path) -> str:
    """Return how to make a library of an archive that was unpacked into a folder."""
    return advice(f"intake restore {_quoted(folder)} --to {_new(folder)}", AT_DESK)


def _without(folder: Path, archive: Path) -> str:
    """Say what an archive lacks of what was entered, as far as the notes of the folder tell; "" where it has all."""
    noted, last = last_backup(folder), noted_entry(folder)
    if noted is None or Path(noted.file).name != archive.name or last is None:  # the folder may have been renamed
        return ", without what was entered after it, if anything was"
    first = noted.entries + 1
    if last.seq < first:
        return ""
    lost = f"entry {first}" if last.seq == first else f"entries {first} to {last.seq}"
    return f", without {lost}, which came after it"


def _quoted(path: Path) -> str:
    return shlex.quote(str(path))


def _new(place: LibraryPlace) -> str:
    if isinstance(place, ServerAddress):
        return "URL-OF-AN-EMPTY-DATABASE"
    return _quoted(place.with_name(f"{place.name}-restored"))
