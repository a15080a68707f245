"""Libraries that are not whole: a ledger cut or emptied, pictures lost, backups of them, and what is advised."""

import os
import shlex
import shutil
import sqlite3
import zipfile
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from intake.edges.store.backup_notes import latest_archive
from intake.edges.store.check_mark import NOT_WHOLE
from intake.edges.store.last_entry import LAST_ENTRY
from intake.edges.store.library import open_library
from intake.errors import StoreError
from intake.flow.safekeeping.backups import (
    back_up,
    back_up_daily,
    backup_state,
    backup_words,
    restore,
    set_daily,
)
from intake.flow.safekeeping.before_papers import refuse_end
from intake.flow.safekeeping.check_library import check_library
from intake.flow.safekeeping.finding_words import caveat, report_lines, verdict_words
from intake.flow.safekeeping.not_whole import not_whole_words, refuse_marked
from intake.flow.safekeeping.remedies import lost_by_archive, remedy
from intake.flow.safekeeping.restored_words import rebuilt_lines, restored_lines
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import BookSet
from intake.model.findings import CheckReport, FindingKind
from tests.edges.store.made import NOON

pytestmark = pytest.mark.folder

LATER = NOON + timedelta(hours=1)
EMPTIED = ("DELETE FROM ledger_change", "DELETE FROM ledger")
CUT = ("DELETE FROM ledger_change WHERE seq > 3", "DELETE FROM ledger WHERE seq > 3")
EDITED = ("UPDATE edition SET title = 'Stolen'",)


@pytest.fixture(scope="module")
def whole_made(folder_made: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("whole") / "whole"
    restore(folder_made, made)
    return made


@pytest.fixture
def folder(whole_made: Path, tmp_path: Path) -> Path:
    """Return the folder of a whole library: made anew from the ledger, it has its counters as they must be."""
    return shutil.copytree(whole_made, tmp_path / "whole")


def damage(folder: Path, *statements: str) -> None:
    with closing(sqlite3.connect(folder / "library.sqlite3")) as connection:
        for statement in statements:
            connection.execute(statement)
        connection.commit()


def checked(folder: Path) -> CheckReport:
    with open_library(folder) as library:
        return check_library(library)


def backed_up(folder: Path, file: Path) -> Path:
    with open_library(folder) as library:
        back_up(library, file, NOON)
    return file


def follow(advice: str, which: int = 0) -> Path:
    """Do what an advice says, word for word, and return the new library's folder."""
    words = shlex.split(advice.split("intake restore ")[1 + which].partition(";")[0])
    restore(Path(words[0]), Path(words[2]), accept_loss="--accept-loss" in words)
    return Path(words[2])


@pytest.mark.parametrize("statements", [EMPTIED, CUT])
def test_a_cut_ledger_is_told_first_and_the_archive_gives_everything_back(
    folder: Path, tmp_path: Path, statements: tuple[str, ...]
) -> None:
    sound = checked(folder)
    archive = backed_up(folder, tmp_path / "books.zip")
    damage(folder, *statements)
    report = checked(folder)
    assert report.findings[0].kind is FindingKind.LEDGER_CUT
    assert str(archive) in remedy(folder, report).split(";")[0]
    assert "so it was cut" in backup_words(backup_state(folder), report.entries, LATER)
    with pytest.raises(StoreError, match="would be lost, and nothing was made") as refused:
        restore(folder, tmp_path / "new")
    assert str(archive) in str(refused.value)
    assert not (tmp_path / "new").exists()
    back = checked(follow(remedy(folder, report)))
    assert (back.is_sound, back.head, back.rows) == (True, sound.head, sound.rows)


def test_what_is_left_of_the_ledger_comes_before_an_archive_that_has_less(folder: Path, tmp_path: Path) -> None:
    archive = backed_up(folder, tmp_path / "books.zip")
    heads = []
    for nth in range(2):
        with open_library(folder) as library:
            library.apply(
                Action(ActionKind.IMPORT_EDITIONS, f"{nth}"), made(BookSet(id=Provisional().id(), title="Later"))
            )
        heads.append(checked(folder).head)
    last = "(SELECT max(seq) FROM ledger)"
    damage(folder, f"DELETE FROM ledger_change WHERE seq = {last}", f"DELETE FROM ledger WHERE seq = {last}")  # noqa: S608 - own words
    report = checked(folder)
    assert report.findings[0].kind is FindingKind.LEDGER_CUT
    refusals = [pytest.raises(StoreError, match="its latest archive would bring back less") for _ in range(2)]
    with refusals[0] as rebuilding:
        restore(folder, tmp_path / "new")
    with refusals[1] as writing, open_library(folder) as library:
        library.apply(Action(ActionKind.IMPORT_EDITIONS, "x"), made(BookSet(id=Provisional().id(), title="New")))
    for advice in (remedy(folder, report), str(rebuilding.value), str(writing.value)):
        assert str(archive) not in advice
    assert checked(follow(remedy(folder, report))).head == heads[0]
    archive.unlink()  # then nobody knows what an archive has
    assert "ARCHIVE.zip" in remedy(folder, checked(folder)).split(";")[0]


def test_the_loss_that_was_accepted_is_named(folder: Path, tmp_path: Path) -> None:
    with open_library(folder) as library:
        library.apply(Action(ActionKind.UNKNOWN, "A1", unknown_name="test"), [])
        library.apply(Action(ActionKind.UNKNOWN, "A1", unknown_name="test"), [])
    damage(folder, "DELETE FROM ledger WHERE seq > 5")  # no record shows it
    assert "--accept-loss" in remedy(folder, checked(folder))
    rebuilt = restore(folder, tmp_path / "new", accept_loss=True).rebuilt
    assert rebuilt is not None
    assert "Lost, for the ledger was cut or replaced: it ends at entry 5, and entry 7 was written." in list(
        rebuilt_lines(rebuilt)
    )


@pytest.mark.parametrize("is_daily", [False, True])
def test_an_advice_to_restore_an_archive_names_what_came_after_it(
    folder: Path, tmp_path: Path, *, is_daily: bool
) -> None:
    set_daily(folder, 2)
    for nth in range(3):
        with open_library(folder, now=lambda: NOON) as library:
            library.apply(Action(ActionKind.UNKNOWN, f"{nth}", unknown_name="test"), [])
            if nth == 0:
                back_up_daily(library, NOON, NOON.date())
            if nth == 1 and not is_daily:
                back_up(library, tmp_path / "later.zip", LATER)
    archive = folder / "backups" / f"{NOON.date()}.zip" if is_daily else tmp_path / "later.zip"
    lost = "entries 7 to 8" if is_daily else "entry 8"
    assert latest_archive(folder) == archive, "of one day too, it is the later one"
    damage(folder, "UPDATE ledger SET note = 'x' WHERE seq = 2")
    way = f"restore its latest archive, without {lost}, which came after it: intake restore {archive} "
    report = checked(folder)
    advice = remedy(folder, report)
    assert way in advice
    assert [entry.seq for entry in report.after_archive] == ([7, 8] if is_daily else [8])
    assert lost_by_archive(report) == report.after_archive
    (folder / "library.sqlite3").unlink()
    with pytest.raises(StoreError) as refused:
        open_library(folder)
    assert way in str(refused.value)
    made_anew = checked(follow(advice))
    assert (made_anew.is_sound, made_anew.entries) == (True, 6 if is_daily else 7)
    (folder / ".last-entry").unlink()
    with pytest.raises(StoreError, match="without what was entered after it, if anything was: intake restore"):
        open_library(folder)


def test_a_note_of_the_last_entry_that_cannot_be_read_is_said(folder: Path) -> None:
    (folder / ".last-entry").write_bytes(b"garbage")
    report = checked(folder)
    assert report.is_sound
    assert any("Note: .last-entry: cannot be read" in line for line in report_lines(report))


def test_an_emptied_ledger_is_found_without_a_backup_and_the_loss_is_named(folder: Path, tmp_path: Path) -> None:
    rows = checked(folder).rows
    damage(folder, *EMPTIED)
    report = checked(folder)
    assert [finding.kind for finding in report.findings].count(FindingKind.LEDGER_CUT) == 1
    with pytest.raises(StoreError, match=f"does not have {rows} records"):
        restore(folder, tmp_path / "new")
    rebuilt = restore(folder, tmp_path / "new", accept_loss=True).rebuilt
    assert rebuilt is not None
    assert len(rebuilt.beside.unknown) == rows


@pytest.mark.parametrize("statements", [EMPTIED, CUT])
def test_a_library_made_with_a_loss_goes_on_naming_the_archive_that_has_more(
    folder: Path, tmp_path: Path, statements: tuple[str, ...]
) -> None:
    archive = backed_up(folder, tmp_path / "books.zip")
    entries = checked(folder).entries
    damage(folder, *statements)
    restore(folder, tmp_path / "new", accept_loss=True)
    backed_up(tmp_path / "new", tmp_path / "later.zip")  # the other stays the one that has more
    restore(tmp_path / "new", tmp_path / "again")
    for made_anew in (tmp_path / "new", tmp_path / "again"):
        report = checked(made_anew)
        assert report.is_sound
        assert any(finding.kind is FindingKind.MADE_WITH_LOSS for finding in report.findings)
        assert any(f"{archive} " in line and f"up to {entries}" in line for line in report_lines(report))
        words = backup_words(backup_state(made_anew), report.entries, LATER)
        assert f"made with a loss: the archive {archive} " in words
        assert str(archive) not in backup_words(backup_state(made_anew), report.entries, LATER, with_place=False)
    assert backup_state(folder).more is None


def test_a_cut_end_that_made_records_shows_in_the_counters(folder: Path, tmp_path: Path) -> None:
    damage(folder, "DELETE FROM ledger_change WHERE seq = 5", "DELETE FROM ledger WHERE seq = 5")
    assert checked(folder).findings[0].kind is FindingKind.LEDGER_CUT
    with pytest.raises(StoreError, match=r"1 record of its tables \(book set "):
        restore(folder, tmp_path / "new")


@pytest.mark.parametrize("lost", ["DELETE FROM box WHERE number = 'B1'", "DROP TABLE box"])
def test_records_that_come_back_are_named(folder: Path, tmp_path: Path, lost: str) -> None:
    sound = checked(folder)
    damage(folder, lost)
    rebuilt = restore(folder, tmp_path / "new").rebuilt
    assert rebuilt is not None
    assert list(rebuilt_lines(rebuilt)) == ["Brought back, for the damaged tables had lost them: 1 record (box B1)."]
    back = checked(tmp_path / "new")
    assert (back.is_sound, back.head, back.rows) == (True, sound.head, sound.rows)


def test_a_row_added_by_hand_is_no_cut_ledger_and_costs_only_itself(folder: Path) -> None:
    sound = checked(folder)
    damage(folder, "INSERT INTO book_set (id, title, words) VALUES (99, 'By hand', '')")
    report = checked(folder)
    assert {finding.kind for finding in report.findings if not finding.kind.is_note} == {FindingKind.ROW_UNKNOWN}
    back = checked(follow(remedy(folder, report), which=1))
    assert (back.is_sound, back.head) == (True, sound.head)


def test_a_ledger_computed_anew_is_not_that_of_the_last_backup(folder: Path, tmp_path: Path) -> None:
    backed_up(folder, tmp_path / "books.zip")
    noted = (folder / "backups" / "last.json").rename(tmp_path / "aside")  # else nothing could be written
    damage(folder, *EMPTIED, "DELETE FROM book_set WHERE title = 'Another'")
    with open_library(folder, now=lambda: NOON) as library:
        for _ in range(6):
            another = BookSet(id=Provisional().id(), title="New")
            library.apply(Action(ActionKind.UNKNOWN, "x", unknown_name="test"), made(another))
    noted.rename(folder / "backups" / "last.json")
    cut = [finding for finding in checked(folder).findings if finding.kind is FindingKind.LEDGER_CUT]
    assert "which is another here" in cut[0].detail


@pytest.mark.parametrize("statements", [EMPTIED, CUT, EDITED, ("UPDATE ledger SET note = 'x' WHERE seq = 2",)])
def test_a_backup_of_a_library_that_is_not_whole_does_not_take_the_place_of_a_better_one(
    folder: Path, tmp_path: Path, statements: tuple[str, ...]
) -> None:
    good = backed_up(folder, tmp_path / "good.zip")
    damage(folder, *statements)
    with open_library(folder) as library:
        result = back_up(library, tmp_path / "bad.zip", LATER)
    assert not result.is_whole
    assert zipfile.ZipFile(tmp_path / "bad.zip").testzip() is None
    assert latest_archive(folder) == good
    words = backup_words(backup_state(folder), 5, LATER)
    assert str(good) in words
    assert "not whole was written" in words


def test_altered_and_lost_pictures_are_found_while_packing(folder: Path, tmp_path: Path) -> None:
    (picture,) = (path for path in (folder / "pictures").rglob("*") if path.is_file())
    with open_library(folder) as library:
        assert back_up(library, tmp_path / "whole.zip", NOON).is_whole
        picture.write_bytes(picture.read_bytes() + b"x")
        result = back_up(library, tmp_path / "altered.zip", LATER)
        assert result.altered == (picture.relative_to(folder).as_posix(),)
        picture.unlink()
        assert not back_up(library, tmp_path / "lost.zip", LATER).is_whole
    assert latest_archive(folder) == tmp_path / "whole.zip"


def test_an_archive_of_a_library_that_was_not_whole_does_not_restore_as_if_it_were(
    folder: Path, tmp_path: Path
) -> None:
    whole = backed_up(folder, tmp_path / "sound.zip")
    (picture,) = (path for path in (folder / "pictures").rglob("*") if path.is_file())
    picture.write_bytes(b"other")
    altered = backed_up(folder, tmp_path / "altered.zip")
    picture.unlink()
    missing = backed_up(folder, tmp_path / "missing.zip")
    damage(folder, *EDITED)
    edited = backed_up(folder, tmp_path / "edited.zip")
    found = {}
    for archive in (whole, altered, missing, edited):
        made_anew = restore(archive, tmp_path / archive.stem)
        found[archive.stem] = (made_anew.altered, made_anew.missing, [one.kind for one in made_anew.findings])
        assert made_anew.is_whole == (archive == whole) == checked(tmp_path / archive.stem).is_sound
        assert len(list(restored_lines(made_anew))) == sum(map(len, found[archive.stem]))
        state = backup_state(tmp_path / archive.stem)
        noted = state.last if archive == whole else state.not_whole
        assert noted is not None, "it was made from a backup"
        assert noted.file == str(archive)
        assert (state.last is None) == (archive != whole)
    name, sha256 = picture.relative_to(folder).as_posix(), picture.stem
    assert found == {
        "sound": ((), (), []),
        "altered": ((name,), (), []),
        "missing": ((), (sha256,), []),
        "edited": ((), (sha256,), [FindingKind.ROW_ALTERED] * 2),
    }


def test_daily_archives_of_a_library_that_is_not_whole_push_out_no_better_one(folder: Path) -> None:
    set_daily(folder, 2)
    days = [NOON + timedelta(days=nth) for nth in range(5)]
    with open_library(folder, now=lambda: NOON) as library:
        for nth, day in enumerate(days):
            another = BookSet(id=Provisional().id(), title="A")
            library.apply(Action(ActionKind.UNKNOWN, "x", unknown_name="test"), made(another))
            assert back_up_daily(library, day, day.date()) is not None
            library.was_written = True
            assert back_up_daily(library, day, day.date()) is None
            if nth == 0:
                damage(folder, *EDITED)
    names = sorted(path.name for path in (folder / "backups").glob("*.zip"))
    assert names == [f"{days[0].date()}.zip", *(f"{day.date()}-not-whole.zip" for day in days[3:])]
    assert latest_archive(folder) == folder / "backups" / names[0]


@pytest.mark.parametrize("is_altered", [False, True])
def test_pictures_come_back_out_of_the_archive_by_the_advice(folder: Path, tmp_path: Path, *, is_altered: bool) -> None:
    sound = checked(folder)
    backed_up(folder, tmp_path / "books.zip")
    (picture,) = (path for path in (folder / "pictures").rglob("*") if path.is_file())
    if is_altered:
        picture.write_bytes(b"other")
    else:
        shutil.rmtree(folder / "pictures")
    back = checked(follow(remedy(folder, checked(folder))))
    assert (back.is_sound, back.head, back.pictures) == (True, sound.head, sound.pictures)


def test_pictures_that_no_known_archive_has_are_named_and_taken_out_of_another(folder: Path, tmp_path: Path) -> None:
    archive = backed_up(folder, tmp_path / "books.zip")
    (folder / "backups" / "last.json").unlink()
    shutil.rmtree(folder / "pictures")
    assert "--pictures-from ARCHIVE.zip" in remedy(folder, checked(folder))
    rebuilt = restore(folder, tmp_path / "without", accept_loss=True).rebuilt
    assert rebuilt is not None
    assert (rebuilt.taken, len(rebuilt.missing)) == (0, 1)
    restore(folder, tmp_path / "with", pictures_from=archive)
    assert checked(tmp_path / "with").is_sound


def test_an_altered_picture_of_an_archive_is_not_taken(folder: Path, tmp_path: Path) -> None:
    (picture,) = (path for path in (folder / "pictures").rglob("*") if path.is_file())
    picture.write_bytes(b"other")
    archive = backed_up(folder, tmp_path / "altered.zip")
    rebuilt = restore(folder, tmp_path / "new", pictures_from=archive, accept_loss=True).rebuilt
    assert rebuilt is not None
    assert (rebuilt.taken, len(rebuilt.missing)) == (0, 1)
    assert not [path for path in (tmp_path / "new" / "pictures").rglob("*") if path.is_file()]


def test_what_may_not_be_read_is_not_taken_for_lost(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (picture,) = (path for path in (folder / "pictures").rglob("*") if path.is_file())
    hidden, access = picture.parent, os.access

    def denied(path: Path, mode: int, **options: bool) -> bool:
        return hidden != Path(path) and access(path, mode, **options)

    glob = Path.glob
    rglob = Path.rglob
    monkeypatch.setattr(os, "access", denied)
    monkeypatch.setattr(Path, "glob", lambda path, form: () if path == hidden else glob(path, form))
    monkeypatch.setattr(Path, "rglob", lambda path, form: (each for each in rglob(path, form) if each != picture))
    report = checked(folder)
    assert [finding.kind for finding in report.findings] == [FindingKind.PICTURE_UNREADABLE]
    assert "right to read" in remedy(folder, report)
    with pytest.raises(StoreError, match="may not be read by this user"):
        backed_up(folder, tmp_path / "books.zip")
    with pytest.raises(StoreError, match="may not be read by this user"):
        restore(folder, tmp_path / "new")


def test_a_folder_without_a_library_is_told_as_such(tmp_path: Path, folder: Path) -> None:
    (tmp_path / "other").mkdir()
    with pytest.raises(StoreError, match="is not a library"):
        restore(tmp_path / "other", tmp_path / "new")
    with pytest.raises(StoreError, match="is inside the library"):
        restore(folder, folder / "new")
    (folder / "library.sqlite3").unlink()
    for _ in range(2):
        with pytest.raises(StoreError, match="has lost its database"):
            restore(folder, tmp_path / "new")
        (folder / "library.sqlite3").mkdir(exist_ok=True)


MIDDLE = ("DELETE FROM ledger_change WHERE seq = 2", "DELETE FROM ledger WHERE seq = 2")
LAST = ("DELETE FROM ledger_change WHERE seq = 5", "DELETE FROM ledger WHERE seq = 5")


@pytest.mark.parametrize("statements", [MIDDLE, LAST])
def test_a_ledger_that_lacks_entries_is_marked_when_it_is_opened(folder: Path, statements: tuple[str, ...]) -> None:
    """In its middle, or at its end, where neither note nor backup tells."""
    (folder / LAST_ENTRY).unlink(missing_ok=True)
    open_library(folder).close()
    assert not_whole_words(folder) == ""
    damage(folder, *statements)
    with open_library(folder) as library, pytest.raises(StoreError, match="is not whole"):
        refuse_end(library)
    assert "what is booked now may be lost" in not_whole_words(folder)


def test_what_a_check_found_is_said_until_one_finds_the_library_whole(folder: Path, tmp_path: Path) -> None:
    damage(folder, "UPDATE edition SET title = 'Stolen' WHERE id = 1")
    with open_library(folder) as library:
        check_library(library)
        words = not_whole_words(folder)
        assert "was found not whole" in words
        assert "edition 1 ('" in words, "by the title that the ledger has"
        assert "Stolen" not in words
        with pytest.raises(StoreError, match="found not whole"):
            refuse_marked(library)
    restore(folder, tmp_path / "new")
    assert not not_whole_words(tmp_path / "new")
    shutil.copy(folder / NOT_WHOLE, tmp_path / "new")
    backed_up(tmp_path / "new", tmp_path / "books.zip")
    assert not not_whole_words(tmp_path / "new"), "a backup looks through all of it too"


def test_check_names_no_entry_as_good_after_one_that_is_broken(folder: Path) -> None:
    damage(folder, *MIDDLE, "DELETE FROM valuation")
    assert {finding.last_good for finding in checked(folder).findings if not finding.kind.is_note} <= {0, 1}


def test_strange_files_are_one_note_with_its_cause_and_what_to_do(folder: Path) -> None:
    for nth in range(30):
        (folder / "pictures" / f"strange-{nth:02}.jpg").write_bytes(bytes([nth]))
    report = checked(folder)
    assert report.is_sound
    (note,) = (line for line in report_lines(report) if "strange" in line)
    assert note.startswith("Note: 30 files among the pictures (pictures/strange-00.jpg, ")
    assert "move it out of the folder" in note


def test_check_says_that_the_library_agrees_only_where_it_does(folder: Path, tmp_path: Path) -> None:
    archive = backed_up(folder, tmp_path / "books.zip")
    damage(folder, "UPDATE ledger SET note = 'x' WHERE seq = 2")
    report = checked(folder)
    assert verdict_words(report).startswith("The library is not whole")
    assert caveat(folder).count(".") == 1, "one line"
    way = f"restore its latest archive, without what was entered after it, if anything was: intake restore {archive} "
    assert remedy(folder, report).startswith(f"take no more steps in it, for they would be lost, and {way}")
    assert checked(follow(remedy(folder, report))).is_sound
