"""What a library on a PostgreSQL server has beside the tables that the migrations make, and in what form it has those.

    collation   every text is sorted byte by byte ("C"), as SQLite and Python's UTF-8 sort it
    numbers     whole numbers of 64 bits, truth values as 0 and 1: what SQLite keeps
    references  looked at once a statement, and at the end of a restore, whose rows come in any order
    words       an index of the folded words (`intake.edges.store.derived`), and a table of all words
    pictures    a table of them; another of plans that are applied in parts

The migrations are the same for both databases; all of this is done after them, whatever they made.
"""

from sqlalchemy import Connection, text

LEDGER_LOCK = (0x494E54, 1)
"""The advisory lock that whoever writes has until the end of the transaction."""
PLAN_LOCK = (0x494E54, 2)
"""The advisory lock of the session that applies a plan in parts."""
CHANNEL = "intake_ledger"
LONGEST_WORD = 500
"""Characters of a word that are looked at: the server's index takes 2,046 bytes."""

_ODD_COLUMNS = text("""
    SELECT c.relname AS table, a.attname AS column, format_type(a.atttypid, a.atttypmod) AS type
    FROM pg_attribute a JOIN pg_class c ON c.oid = a.attrelid LEFT JOIN pg_collation l ON l.oid = a.attcollation
    WHERE c.relnamespace = current_schema()::regnamespace AND c.relkind = 'r' AND a.attnum > 0 AND NOT a.attisdropped
      AND (a.atttypid IN ('integer'::regtype, 'boolean'::regtype) OR (a.attcollation <> 0 AND l.collname <> 'C'))
    ORDER BY c.relname, a.attnum""")
_FIXED_REFERENCES = text("""
    SELECT c.relname AS table, r.conname AS name FROM pg_constraint r JOIN pg_class c ON c.oid = r.conrelid
    WHERE c.relnamespace = current_schema()::regnamespace AND r.contype = 'f' AND NOT r.condeferrable""")
_NEW_TYPES = {
    "integer": '"{column}" TYPE bigint',
    "boolean": '"{column}" DROP DEFAULT, ALTER COLUMN "{column}" TYPE smallint USING ("{column}"::integer)',
}
_SORTED = '"{column}" TYPE {type} COLLATE "C"'

TRIGGERS = ("edition_words_made", "edition_words_gone", "edition_words_altered", "ledger_tells")
FUNCTIONS = ("intake_words", "intake_count_words", "intake_tell")
WORD_INDEX = "ix_edition_words"
OWN_TABLES = ("picture_data", "incoming", "edition_word")

_ALWAYS = (
    """CREATE TABLE IF NOT EXISTS picture_data (sha256 text COLLATE "C" PRIMARY KEY, suffix text COLLATE "C" NOT NULL,
       size bigint NOT NULL, data bytea NOT NULL)""",
    # A picture is compressed already: kept as it is, outside of its row.
    "ALTER TABLE picture_data ALTER COLUMN data SET STORAGE EXTERNAL",
    'CREATE TABLE IF NOT EXISTS incoming (token text COLLATE "C" PRIMARY KEY)',
    f"""CREATE OR REPLACE FUNCTION intake_tell() RETURNS trigger LANGUAGE plpgsql AS
       $$ BEGIN PERFORM pg_notify('{CHANNEL}', ''); RETURN NULL; END $$""",
    "DROP TRIGGER IF EXISTS ledger_tells ON ledger",
    "CREATE TRIGGER ledger_tells AFTER INSERT ON ledger FOR EACH STATEMENT EXECUTE FUNCTION intake_tell()",
)

# The words are folded and between spaces: nothing is left for a text search configuration to do.
_WITH_WORDS = (
    f"""CREATE OR REPLACE FUNCTION intake_words(words text) RETURNS tsvector
       LANGUAGE sql IMMUTABLE STRICT PARALLEL SAFE COST 1000 AS
       $$ SELECT array_to_tsvector(ARRAY(
            SELECT left(word, {LONGEST_WORD}) FROM unnest(string_to_array(words, ' ')) AS word WHERE word <> '')) $$""",  # noqa: S608 - a number of ours
    f"CREATE INDEX IF NOT EXISTS {WORD_INDEX} ON edition USING gin (intake_words(words))",
    """CREATE TABLE IF NOT EXISTS edition_word (word text COLLATE "C" PRIMARY KEY, editions bigint NOT NULL)
       WITH (fillfactor = 70)""",
    "CREATE INDEX IF NOT EXISTS ix_edition_word_unused ON edition_word (word) WHERE editions <= 0",
    """CREATE OR REPLACE FUNCTION intake_count_words() RETURNS trigger LANGUAGE plpgsql AS $$
       BEGIN
         IF TG_OP = 'INSERT' THEN
           INSERT INTO edition_word SELECT word, count(*) FROM made, unnest(string_to_array(words, ' ')) AS word
             WHERE word <> '' GROUP BY word ORDER BY word
             ON CONFLICT (word) DO UPDATE SET editions = edition_word.editions + excluded.editions;
           RETURN NULL;
         ELSIF TG_OP = 'DELETE' THEN
           INSERT INTO edition_word SELECT word, -count(*) FROM gone, unnest(string_to_array(words, ' ')) AS word
             WHERE word <> '' GROUP BY word ORDER BY word
             ON CONFLICT (word) DO UPDATE SET editions = edition_word.editions + excluded.editions;
         ELSE
           INSERT INTO edition_word SELECT word, sum(each) FROM (
               SELECT word, 1 AS each FROM made, unnest(string_to_array(words, ' ')) AS word
               UNION ALL SELECT word, -1 FROM gone, unnest(string_to_array(words, ' ')) AS word) AS changed
             WHERE word <> '' GROUP BY word HAVING sum(each) <> 0 ORDER BY word
             ON CONFLICT (word) DO UPDATE SET editions = edition_word.editions + excluded.editions;
         END IF;
         DELETE FROM edition_word WHERE editions <= 0;
         RETURN NULL;
       END $$""",
    "DROP TRIGGER IF EXISTS edition_words_made ON edition",
    "DROP TRIGGER IF EXISTS edition_words_gone ON edition",
    "DROP TRIGGER IF EXISTS edition_words_altered ON edition",
    """CREATE TRIGGER edition_words_made AFTER INSERT ON edition REFERENCING NEW TABLE AS made
       FOR EACH STATEMENT EXECUTE FUNCTION intake_count_words()""",
    """CREATE TRIGGER edition_words_gone AFTER DELETE ON edition REFERENCING OLD TABLE AS gone
       FOR EACH STATEMENT EXECUTE FUNCTION intake_count_words()""",
    """CREATE TRIGGER edition_words_altered AFTER UPDATE ON edition REFERENCING OLD TABLE AS gone NEW TABLE AS made
       FOR EACH STATEMENT EXECUTE FUNCTION intake_count_words()""",
)
_COUNT_ANEW = (
    "TRUNCATE edition_word",
    """INSERT INTO edition_word SELECT word, count(*) FROM edition, unnest(string_to_array(words, ' ')) AS word
       WHERE word <> '' GROUP BY word""",
)


def settle(connection: Connection) -> None:
    """Give a database what the migrations do not make, in their transaction; doing it again changes nothing."""
    changes: dict[str, list[str]] = {}
    for table, column, kind in connection.execute(_ODD_COLUMNS):
        change = _NEW_TYPES.get(kind, _SORTED).format(column=column, type=kind)
        changes.setdefault(table, []).append(f"ALTER COLUMN {change}")
    for table, name in connection.execute(_FIXED_REFERENCES):
        changes.setdefault(table, []).append(f'ALTER CONSTRAINT "{name}" DEFERRABLE INITIALLY IMMEDIATE')
    for table, of_table in changes.items():
        connection.exec_driver_sql(f'ALTER TABLE "{table}" {", ".join(of_table)}')
    for statement in _ALWAYS:
        connection.exec_driver_sql(statement)
    if has_words(connection):
        for statement in (*_WITH_WORDS, *_COUNT_ANEW):
            connection.exec_driver_sql(statement)


def has_words(connection: Connection) -> bool:
    """Return whether the tables are of a revision that has the column of folded words."""
    found = connection.execute(
        text(
            "SELECT 1 FROM pg_attribute WHERE attrelid = to_regclass('edition') AND attname = 'words' "
            "AND NOT attisdropped"
        )
    )
    return found.first() is not None
