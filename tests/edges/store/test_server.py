"""A library on a PostgreSQL server: turns, snapshots, lost connections, faults in words, and the way there and back.

Outside: the server itself, asked by psycopg beside the store; SQLSTATE as its documentation lists it (Appendix A).
"""

import hashlib
import os
import sqlite3
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import psycopg
import pytest
from sqlalchemy.engine import RootTransaction
from sqlalchemy.exc import OperationalError

from intake.edges.server_address import ServerAddress
from intake.edges.store.archive_restore import restore_archive
from intake.edges.store.archive_writing import write_archive
from intake.edges.store.engines import server_open, server_pictures
from intake.edges.store.engines.server_connection import server_engine
from intake.edges.store.engines.server_schema import settle
from intake.edges.store.library import Library, is_library, open_library
from intake.edges.store.migrate import Migration, migrate
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.words import find_editions, find_editions_like
from intake.edges.store.untouched import untouched
from intake.errors import IntakeError, LibraryBusyError, RefusedError, ServerLostError, StoreError, UsageError
from intake.flow.safekeeping.check_library import check_library
from intake.model.changes import Action, ActionKind, Change, Provisional, made
from intake.model.editions import BookSet, Edition
from intake.model.findings import FindingKind
from intake.model.sightings import Picture
from tests.edges.store.made import LIBRARY, NOON
from tests.servers import DATABASES, IS_THERE, WHY_NOT, address_of, execute

pytestmark = pytest.mark.skipif(not IS_THERE, reason=WHY_NOT)

IMPORT = ActionKind.IMPORT_EDITIONS
DATA = bytes(range(256)) * 9_000  # longer than two pieces
TITLES = (
    *("Łódź: a city of cloth", "Straßen und Gassen", "Smørrebrød for two", "Die Gräser der Küste", "Ποίηση και λόγος"),
    *("Война и мир, vol. 2", "植物図鑑", "हिन्दी की किताब", "O'Brien's c++ and 'quotes'", "Ferns 1-6", "the the the"),
    *("Ὀδύσσεια", "Ελληνική ιστορία", "Ёлка", "İstanbul", "moss and mosses", "Mossy banks", "x" * 700, "a b c"),
)
TYPED = (
    *("lodz", "łódź", "strasse", "strassen", "smorrebrod", "smoerrebroed", "graser", "graeser", "gras", "ποιηση"),
    *("poiisi", "война", "voina", "vojna 2", "植物", "物図", "हिन्दी", "dina", "o'brien", "c++", "ferns 3", "ferns 9"),
    *("the", "t", "moss", "mos", "mossx", "grxser", "ελληνικη", "elliniki", "елка", "istanbul", "x" * 700, "", "   "),
    *("%", "a_c", "\\", "a' | 'b", "moss & !x", "\0", "\udc80", "gone", "gonf"),
)


@pytest.fixture
def address(tmp_path: Path) -> ServerAddress:
    name = DATABASES.by_folder[tmp_path / "on a server"] = DATABASES.make()
    return address_of(name)


@pytest.fixture
def library(address: ServerAddress) -> Iterator[Library]:
    with open_library(address, create=True, now=lambda: NOON) as opened:
        yield opened


def name_of(library: Library) -> str:
    return str(library.place).rpartition("/")[2]


def one_more(library: Library, request: str | None = None, title: str = "Invented") -> int:
    new = made(BookSet(id=Provisional().id(), title=title))
    applied = library.apply(Action(IMPORT, "", "here", request=request), new)
    return applied.entry.seq


def sets(library: Library) -> list[int]:
    with library.reading() as records:
        return [each.id for each in records.all(BookSet)]


def picture_of(data: bytes) -> Picture:
    sha256 = hashlib.sha256(data).hexdigest()
    return Picture(sha256=sha256, name="one.jpg", media_type="image/jpeg", width_px=1, height_px=1)


def test_two_desks_give_every_number_once_and_without_a_gap(library: Library) -> None:
    with open_library(library.place) as other, ThreadPoolExecutor(8) as pool:
        seqs = list(pool.map(lambda nth: one_more((library, other)[nth % 2]), range(80)))
    assert sorted(seqs) == list(range(1, 81))
    assert sets(library) == list(range(1, 81))
    with library.reading() as records:
        assert verify_chain(records) is None


def test_a_request_that_is_repeated_changes_nothing_whichever_desk_it_comes_to(library: Library) -> None:
    with open_library(library.place) as other:
        assert one_more(library, "scan-1") == one_more(other, "scan-1") == 1
    assert sets(library) == [1]


def test_a_reader_sees_one_moment_and_waits_for_nobody(library: Library) -> None:
    one_more(library)
    with library.reading() as records:
        assert len(records.all(BookSet)) == 1
        one_more(library)
        assert len(records.all(BookSet)) == 1, "REPEATABLE READ: the second one came after"
    assert len(sets(library)) == 2


def test_who_writes_is_named_and_waited_for(library: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("intake.edges.store.engines.postgresql.LOCK_WAIT_S", 0.4)
    monkeypatch.setattr("intake.edges.store.engines.postgresql.WORD_AFTER_S", 0.05)
    told: list[Any] = []
    assert library.writer() is None
    with open_library(library.place) as other, library.writing("the laptop"):
        other.on_wait = told.append
        with pytest.raises(LibraryBusyError, match="is being written by station the laptop"):
            one_more(other)
    assert [note.station for note in told] == ["the laptop"]
    assert one_more(library) == 1, "the one that gave up left nothing"


def test_every_desk_hears_what_another_enters(library: Library) -> None:
    with open_library(library.place) as other:
        listener = other.listener()
        assert listener.wait(5), "what was entered before it listened may be unknown"
        heard = threading.Event()

        def listen() -> None:
            if listener.wait(20):
                heard.set()

        thread = threading.Thread(target=listen)
        thread.start()
        one_more(library)
        thread.join()
        assert heard.is_set()
        assert not listener.wait(0.01), "once told, once heard"
        listener.close()


def end_session(library: Library, connection: Any) -> None:
    pid = connection.exec_driver_sql("SELECT pg_backend_pid()").scalar()
    execute(f"SELECT pg_terminate_backend({pid})")


def test_a_connection_that_is_lost_before_the_end_leaves_nothing(library: Library) -> None:
    def step() -> None:
        with library.writing() as work:
            work.apply(Action(IMPORT, "", request="scan-1"), made(BookSet(id=1, title="Invented")))
            end_session(library, work.connection)

    with pytest.raises(ServerLostError, match="cannot be reached"):
        step()
    assert sets(library) == []
    assert one_more(library, "scan-1") == 1


def test_a_step_whose_server_was_lost_is_done_once_more(library: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    losing = [True]

    def check(reader: Any) -> None:
        if losing:
            losing.pop()
            end_session(library, reader.connection)

    action = Action(IMPORT, "", request="scan-1")
    applied = library.apply(action, made(BookSet(id=Provisional().id(), title="Invented")), check)
    assert (applied.entry.seq, applied.repeated, sets(library)) == (1, False, [1])


def test_an_end_that_was_not_heard_of_is_looked_up(library: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    """The server keeps the transaction, and the answer to COMMIT is lost: nothing is done twice."""
    usual = RootTransaction.commit

    def commit(self: RootTransaction) -> None:
        usual(self)
        monkeypatch.setattr(RootTransaction, "commit", usual)
        raise OperationalError("COMMIT", None, psycopg.OperationalError("the connection is lost"))

    monkeypatch.setattr(RootTransaction, "commit", commit)
    assert one_more(library, "scan-1") == 1
    assert sets(library) == [1]


def test_an_end_that_did_not_come_is_told_and_tried_again(library: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    usual = RootTransaction.commit

    def commit(self: RootTransaction) -> None:
        monkeypatch.setattr(RootTransaction, "commit", usual)
        self.rollback()
        raise OperationalError("COMMIT", None, psycopg.OperationalError("the connection is lost"))

    monkeypatch.setattr(RootTransaction, "commit", commit)
    assert one_more(library) == 1
    assert sets(library) == [1]


@pytest.mark.parametrize("typed", TYPED)
def test_words_find_the_same_as_in_a_folder(corpus: tuple[Library, Library], typed: str) -> None:
    """SQLite's index (FTS5) and the server's: the same editions, in the same order, and the same slips."""
    answers = []
    for library in corpus:
        with library.reading() as records:
            found = tuple(edition.id for edition in find_editions(records, typed))
            like, near = find_editions_like(records, typed)
            answers.append((found, tuple(each.id for each in like), {w: sorted(n) for w, n in near.items()}))
    assert answers[0] == answers[1]


@pytest.fixture(scope="module")
def corpus(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Library, Library]]:
    folder = tmp_path_factory.mktemp("corpus")
    name = DATABASES.by_folder[folder] = DATABASES.make()
    editions = [Edition(id=nth, title=title, volume="2" if nth % 5 == 0 else "") for nth, title in enumerate(TITLES, 1)]
    with (
        open_library(folder / "library", create=True) as one,
        open_library(address_of(name), create=True) as other,
    ):
        gone = Edition(id=90, title="gone words")
        for library in (one, other):
            library.apply(Action(IMPORT, "corpus"), made(*editions, gone, BookSet(id=1, title="Flora")))
            library.apply(Action(IMPORT, "away"), [Change(gone, None)])
        yield one, other


@pytest.mark.parametrize("title", ["a\0b", "a\udc80b"])
def test_text_that_no_server_stores_is_refused(library: Library, title: str) -> None:
    with pytest.raises(RefusedError, match="cannot be stored"):
        one_more(library, title=title)
    assert sets(library) == []


def test_an_archive_carries_a_library_to_a_server_and_back(
    tmp_path: Path, address: ServerAddress, monkeypatch: pytest.MonkeyPatch
) -> None:
    picture = picture_of(DATA)
    with open_library(tmp_path / "library", create=True, now=lambda: NOON) as library:
        library.apply(Action(IMPORT, "all"), made(*LIBRARY))
        library.keep_picture(DATA, picture)
        library.apply(Action(IMPORT, "picture"), made(picture))
        first = write_archive(library, tmp_path / "1.zip", NOON)
    restore_archive(tmp_path / "1.zip", address)
    with open_library(address) as library:
        second = write_archive(library, tmp_path / "2.zip", NOON)
        path = library.picture_path(picture.sha256)
        assert path is not None
        assert path.read_bytes() == DATA
        report = check_library(library)
        with pytest.raises(StoreError, match="has a library already"):
            restore_archive(tmp_path / "1.zip", address)
    restore_archive(tmp_path / "2.zip", tmp_path / "back")
    with open_library(tmp_path / "back") as library:
        third = write_archive(library, tmp_path / "3.zip", NOON)
    assert first.manifest.head == second.manifest.head == third.manifest.head == report.head
    assert first.manifest.files == second.manifest.files == third.manifest.files, "to the byte, by SHA-256"
    # LIBRARY invents a picture without a file, and numbers that no counter gave; everything else is sound.
    assert {each.kind for each in report.findings} == {FindingKind.PICTURE_MISSING, FindingKind.COUNTER_WRONG}


def test_an_archive_of_a_library_that_is_not_whole_makes_nothing(tmp_path: Path, address: ServerAddress) -> None:
    with open_library(tmp_path / "library", create=True) as library:
        library.apply(Action(IMPORT, "one"), made(Edition(id=1, title="Invented")))
    with sqlite3.connect(tmp_path / "library" / "library.sqlite3") as connection:
        connection.execute("UPDATE edition SET set_id = 7")
    connection.close()
    with open_library(tmp_path / "library") as library:
        write_archive(library, tmp_path / "1.zip", NOON)
    with pytest.raises(IntakeError, match="not whole"):
        restore_archive(tmp_path / "1.zip", address)
    assert not is_library(address)
    assert execute("SELECT count(*) FROM pg_class WHERE relnamespace = 'public'::regnamespace", _db(address)) == [(0,)]


def _db(address: ServerAddress) -> str:
    return str(address).rpartition("/")[2]


TAMPERED = {
    "a record": ("UPDATE book_set SET title = 'Else'", FindingKind.ROW_ALTERED),
    "the ledger": ("UPDATE ledger SET note = 'else' WHERE seq = 1", FindingKind.ENTRY_BROKEN),
    "a word": ("DELETE FROM edition_word WHERE word = 'herbal'", FindingKind.WORD_INDEX_WRONG),
    "an index": ("DROP INDEX ix_edition_words", FindingKind.SCHEMA_ALTERED),
    "a trigger": ("ALTER TABLE edition DISABLE TRIGGER edition_words_made", FindingKind.SCHEMA_ALTERED),
    "a reference": ("ALTER TABLE edition DROP CONSTRAINT fk_edition_set_id", FindingKind.SCHEMA_ALTERED),
    "a table": ("CREATE TABLE tunes (name text)", FindingKind.SCHEMA_ALTERED),
    "a picture": ("UPDATE picture_data SET data = 'x'", FindingKind.PICTURE_ALTERED),
    "a picture lost": ("DELETE FROM picture_data", FindingKind.PICTURE_MISSING),
    "a counter": ("UPDATE counter SET last = 0", FindingKind.COUNTER_WRONG),
}


@pytest.mark.parametrize(("statement", "kind"), TAMPERED.values(), ids=TAMPERED.keys())
def test_what_somebody_altered_is_found(library: Library, statement: str, kind: FindingKind) -> None:
    picture = picture_of(DATA)
    with library.keeping_picture(DATA, picture):
        library.apply(Action(IMPORT, "all"), made(BookSet(id=Provisional().id(), title="Herbals"), picture))
    library.apply(Action(IMPORT, "one"), made(Edition(id=Provisional().id(), title="Herbal")))
    assert check_library(library).findings == ()
    execute(statement, name_of(library))
    assert kind in {finding.kind for finding in check_library(library).findings}


def test_pictures_are_kept_uncompressed_and_read_through_a_bounded_folder(
    library: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    storage = execute(
        "SELECT attstorage FROM pg_attribute WHERE attrelid = 'picture_data'::regclass AND attname = 'data'",
        name_of(library),
    )
    assert storage == [("e",)], "EXTERNAL (PostgreSQL's documentation, pg_attribute)"
    many = [DATA + bytes([nth]) for nth in range(6)]
    for data in many:
        library.keep_picture(data, picture_of(data))
    monkeypatch.setattr(server_pictures, "KEPT_S", -1.0)
    monkeypatch.setattr(server_pictures, "CACHE_BYTES", 3 * len(DATA))
    for data in many:
        path = library.picture_path(picture_of(data).sha256)
        assert path is not None
        assert path.read_bytes() == data
    cache = address_of(name_of(library)).cache
    assert 0 < sum(file.stat().st_size for file in cache.rglob("*.jpg")) <= 3 * len(DATA) + 6
    with pytest.raises(ValueError, match="invented"), library.keeping_picture(b"two", picture_of(b"two")):
        raise ValueError("invented")
    assert library.picture_path(picture_of(b"two").sha256) is None


def test_pictures_may_be_in_a_folder_that_all_desks_share(address: ServerAddress, tmp_path: Path) -> None:
    with open_library(address, create=True) as plain:
        plain.keep_picture(b"before", picture_of(b"before"))
    shared = ServerAddress(f"{address.url}?pictures={tmp_path / 'shared'}")
    with open_library(shared) as library:
        for data in (b"before", DATA):
            library.keep_picture(data, picture_of(data))
            library.apply(Action(IMPORT, "picture"), made(picture_of(data)))
        assert library.picture_path(picture_of(b"before").sha256) is not None
        assert check_library(library).findings == ()
        assert len(write_archive(library, tmp_path / "1.zip", NOON).manifest.files) > 2
    assert [path.read_bytes() for path in (tmp_path / "shared").rglob("*.jpg")] == [DATA]


BAD = {
    "no server": ("postgresql://localhost:1/books", r"cannot be reached \(Connection refused\)"),
    "a host of no network": ("postgresql://no.such.host.invalid/books", "cannot be reached .*no.such.host.invalid"),
    "a wrong password": ("postgresql://nobody:sesame@{host}/postgres", r"\(password authentication failed for user"),
    "no database": ("postgresql:///no_such_books", r'\(database "no_such_books" does not exist\)'),
    "no such certificate": ("postgresql://{host}/postgres?sslmode=verify-full&sslrootcert=no.pem", "says of TLS"),
    "a password with an @": ("postgresql://nobody:q@sesame@{host}/postgres", "is no URL"),
    "a password as a port": ("postgresql://nobody:sesame/{host}/postgres", "is no URL"),
    "no URL": ("postgresql://[/x", "is no URL"),
    "a parameter of no server": ("postgresql:///books?tunes=sesame", "is no URL"),
    "another kind of server": ("https://{host}/books", "is no URL"),
}


@pytest.mark.parametrize(("url", "words"), BAD.values(), ids=BAD.keys())
def test_an_address_that_leads_nowhere_is_told_without_its_password(url: str, words: str) -> None:
    address = ServerAddress(url.format(host=os.environ["PGHOST"]))
    with pytest.raises((StoreError, UsageError), match=words) as told:
        open_library(address)
    said = str(told.value)
    assert "sesame" not in said + repr(told.value) + repr(address)
    assert "sesame" not in str(address) or address.is_readable
    assert "\n" not in said


def test_a_database_of_another_program_is_left_alone(address: ServerAddress) -> None:
    execute("CREATE TABLE tunes (name text)", _db(address))
    for create in (True, False):
        with pytest.raises(StoreError, match="another program's"):
            open_library(address, create=create)
    assert execute("SELECT count(*) FROM pg_tables WHERE schemaname = 'public'", _db(address)) == [(1,)]


def test_an_empty_database_is_no_library_until_one_is_made(address: ServerAddress) -> None:
    with pytest.raises(StoreError, match="the database is empty"):
        open_library(address)
    with untouched(address) as looked_at:
        assert sets(looked_at) == []
    assert not is_library(address)
    execute(f'ALTER DATABASE "{_db(address)}" SET default_transaction_read_only = on')
    with pytest.raises(StoreError, match="this user may only read it"):
        open_library(address, create=True)
    execute(f'ALTER DATABASE "{_db(address)}" RESET default_transaction_read_only')
    with open_library(address, create=True) as library:
        assert library.is_new
    with untouched(address) as looked_at:
        assert not looked_at.is_new


def test_a_newer_library_an_older_server_and_other_characters_are_refused(
    library: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    library.close()
    execute("UPDATE alembic_version SET version_num = '9999'", name_of(library))
    with pytest.raises(StoreError, match="newer version of this program"):
        open_library(library.place)
    execute("UPDATE alembic_version SET version_num = '0001'", name_of(library))
    with pytest.raises(StoreError, match="brought up to date first"), untouched(library.place):
        pass
    monkeypatch.setattr(server_open, "OLDEST", 99)
    with pytest.raises(StoreError, match="99 or later is needed"):
        open_library(library.place)
    monkeypatch.undo()
    name = DATABASES.by_folder[tmp_path / "ascii"] = f"{name_of(library)}_ascii"
    execute(f"CREATE DATABASE \"{name}\" ENCODING 'SQL_ASCII' LOCALE 'C' TEMPLATE template0")
    with pytest.raises(StoreError, match="encoding UTF8"):
        open_library(address_of(name), create=True)


@pytest.mark.parametrize("revision", ["0001", "0003", "0004", "0005", "0006", "0007"])
def test_a_library_of_an_earlier_form_is_brought_up_to_date(address: ServerAddress, revision: str) -> None:
    engine = server_engine(address)
    migrate(engine, Migration(address, to=revision, after=settle))
    engine.dispose()
    values = dict.fromkeys(("publisher", "statement", "binding", "language", "subject", "call_number", "volume"), "")
    values |= {"printed_in": "", "hs_heading": "", "title": "Old Tides", "key": "T1", "contributors": "[]"}
    values |= {"title_key": "old tides"} | ({"words": "old tides"} if revision >= "0004" else {})
    cells = ", ".join(f"'{value}'" for value in values.values())
    execute(f"INSERT INTO edition (id, {', '.join(values)}) VALUES (1, {cells})", _db(address))  # noqa: S608 - own words
    with open_library(address) as library:
        with library.reading() as records:
            assert [edition.key for edition in find_editions(records, "tid")] == ["T1"]
        kinds = {finding.kind for finding in check_library(library).findings}
    # No entry of the ledger made the row; tables, indexes, triggers and words are as they must be.
    assert kinds == {FindingKind.ROW_UNKNOWN, FindingKind.LEDGER_CUT}


def test_a_text_too_long_for_an_index_is_refused(library: Library) -> None:
    long = "".join(hashlib.sha256(bytes([nth])).hexdigest() for nth in range(100))
    with pytest.raises(RefusedError, match="too long for an index"):
        library.apply(Action(IMPORT, ""), made(Edition(id=1, title=long)))


def test_a_server_that_takes_no_changes_may_be_read(library: Library) -> None:
    one_more(library)
    library.close()
    execute(f'ALTER DATABASE "{name_of(library)}" SET default_transaction_read_only = on')
    with open_library(library.place) as opened:
        assert sets(opened) == [1]
        with pytest.raises(StoreError, match="may only be read"):
            one_more(opened)


FAULTS = {
    "the disk is full": ("53100", StoreError, "disk of the server is full"),
    "no right": ("42501", StoreError, "may not be used so by this user"),
    "no more connections": ("53300", LibraryBusyError, "no more connections"),
    "a deadlock": ("40P01", LibraryBusyError, "nothing was changed"),
    "read-only since": ("25006", StoreError, "may only be read"),
    "damage": ("XX001", StoreError, "is damaged"),
    "a newer schema": ("0A000", StoreError, "start it anew"),
    "shut down": ("57P01", ServerLostError, "cannot be reached"),
}


@pytest.mark.parametrize(("state", "kind", "words"), FAULTS.values(), ids=FAULTS.keys())
def test_a_fault_is_one_sentence(library: Library, state: str, kind: type[IntakeError], words: str) -> None:
    """The server raises each of them itself, so that they come as they would."""

    def step() -> None:
        with library.writing() as work:
            work.apply(Action(IMPORT, ""), made(BookSet(id=1, title="Invented")))
            raising = f"RAISE EXCEPTION 'invented' USING ERRCODE = '{state}'"
            work.connection.exec_driver_sql(f"DO $$ BEGIN {raising}; END $$")

    with pytest.raises(kind, match=words):
        step()
    assert sets(library) == []
