"""The index of words that the first step makes, as SQLite folded them; step 0004 replaces it."""

# The index keeps no text of its own (content='edition'); the triggers give it the values that were there before.
FIRST_WORD_INDEX = (
    """CREATE VIRTUAL TABLE edition_words USING fts5(title, contributors, content='edition', content_rowid='id',
       tokenize='unicode61 remove_diacritics 2', prefix='2 3')""",
    """CREATE TRIGGER edition_words_made AFTER INSERT ON edition BEGIN
       INSERT INTO edition_words(rowid, title, contributors) VALUES (new.id, new.title, new.contributors); END""",
    """CREATE TRIGGER edition_words_gone AFTER DELETE ON edition BEGIN
       INSERT INTO edition_words(edition_words, rowid, title, contributors)
       VALUES ('delete', old.id, old.title, old.contributors); END""",
    """CREATE TRIGGER edition_words_altered AFTER UPDATE OF title, contributors ON edition BEGIN
       INSERT INTO edition_words(edition_words, rowid, title, contributors)
       VALUES ('delete', old.id, old.title, old.contributors);
       INSERT INTO edition_words(rowid, title, contributors) VALUES (new.id, new.title, new.contributors); END""",
)
