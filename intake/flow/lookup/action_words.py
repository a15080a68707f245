"""The words for what the ledger says was done."""

from collections.abc import Mapping

from intake.model.changes import Action, ActionKind, LedgerEntry
from intake.units.language import say, term

_WORDS: Mapping[ActionKind, str] = {
    ActionKind.IMPORT_EDITIONS: term("import editions"),
    ActionKind.IMPORT_PRINTINGS: term("import printings"),
    ActionKind.IMPORT_PLACES: term("import places"),
    ActionKind.IMPORT_COPIES: term("import copies"),
    ActionKind.IMPORT_BOXES: term("import boxes"),
    ActionKind.IMPORT_CONSIGNMENT: term("import consignment"),
    ActionKind.IMPORT_RATES: term("import rates"),
    ActionKind.IMPORT_EVERYTHING: term("import everything"),
    ActionKind.IMPORT_UNLISTED_COPIES: term("import copies that were on no list"),
    ActionKind.EDIT_EDITION: term("edit edition"),
    ActionKind.TAKE_FROM_SERVER: term("take from a library's server"),
    ActionKind.MERGE_EDITIONS: term("merge editions"),
    ActionKind.SET_EXTENT: term("set extent of serial"),
    ActionKind.WITHDRAW_EDITION: term("withdraw edition"),
    ActionKind.EDIT_COPY: term("edit copy"),
    ActionKind.ADD_COPIES: term("add copies"),
    ActionKind.MOVE_COPIES: term("move copies"),
    ActionKind.WITHDRAW_COPIES: term("withdraw copies"),
    ActionKind.OPEN_BOX: term("open box"),
    ActionKind.PACK_COPY: term("pack copy"),
    ActionKind.CLOSE_BOX: term("close box"),
    ActionKind.WEIGH_BOX: term("weigh box"),
    ActionKind.MEASURE_BOX: term("measure box"),
    ActionKind.BOOK_PACKING_PLAN: term("book packing plan"),
    ActionKind.CONSIGN_BOXES: term("consign boxes"),
    ActionKind.CHECK_IN_BOX: term("check in box"),
    ActionKind.FINISH_BOX: term("finish box"),
    ActionKind.RECORD_DAMAGE: term("record damage"),
    ActionKind.UNPACK_COPY: term("unpack copy"),
    ActionKind.SEE_COPY_AGAIN: term("see copy again"),
    ActionKind.RECORD_NEW_COPY: term("record new copy"),
    ActionKind.QUEUE_QUERY: term("put on query pile"),
    ActionKind.DECIDE_QUERY: term("decide query"),
    ActionKind.DECIDE_AS_LISTED_COPY: term("decide query: a listed copy"),
    ActionKind.DECIDE_AS_COPY_SEEN_AGAIN: term("decide query: a copy seen again"),
    ActionKind.DECIDE_AS_NEW_COPY: term("decide query: a copy on no list"),
    ActionKind.DECIDE_AS_NEW_EDITION: term("decide query: a new edition"),
    ActionKind.SET_QUERY_ASIDE: term("set query aside"),
    ActionKind.MAKE_BOOKCASE: term("make bookcase"),
    ActionKind.SET_ORDER_OF_SHELVES: term("set order of shelves"),
    ActionKind.SHELVE_COPY: term("shelve copy"),
    ActionKind.ARRANGE_SHELVES: term("arrange shelves"),
    ActionKind.CHECK_SHELF: term("check shelf"),
    ActionKind.INSPECT_COPY: term("inspect copy"),
    ActionKind.PHOTOGRAPH_COPY: term("photograph copy"),
    ActionKind.REPORT_CONDITION: term("report condition"),
    ActionKind.VALUE_COPY: term("value copy"),
    ActionKind.VALUE_SET: term("value set"),
    ActionKind.ENTER_RATE: term("enter rate"),
    ActionKind.PRINT_SHELF_LABELS: term("print shelf labels"),
    ActionKind.PRINT_FLAG_LABELS: term("print flag labels"),
    ActionKind.PRINT_BOX_LABELS: term("print box labels"),
    ActionKind.PRINT_SPINE_LABELS: term("print spine labels"),
    ActionKind.UNDO: term("undo"),
}


_OF_QUERIES = (
    ActionKind.QUEUE_QUERY,
    ActionKind.DECIDE_QUERY,
    ActionKind.DECIDE_AS_LISTED_COPY,
    ActionKind.DECIDE_AS_COPY_SEEN_AGAIN,
    ActionKind.DECIDE_AS_NEW_COPY,
    ActionKind.DECIDE_AS_NEW_EDITION,
    ActionKind.SET_QUERY_ASIDE,
)


def subject_words(action: Action) -> str:
    """Write what it was done to; a query's number is said to be one, as other things have a letter before theirs.

    >>> subject_words(Action(ActionKind.QUEUE_QUERY, "7")), subject_words(Action(ActionKind.OPEN_BOX, "B7-48"))
    ('query 7', 'B7-48')
    """
    return say("query {number}", number=action.subject) if action.kind in _OF_QUERIES else action.subject


def action_words(action: Action) -> str:
    """Write what was done; an action of a kind that this program does not know is quoted as the ledger has it.

    >>> action_words(Action(ActionKind.DECIDE_AS_NEW_COPY, "7"))
    'decide query: a copy on no list'
    """
    words = _WORDS.get(action.kind)
    return say(words) if words else say("unknown step '{name}'", name=action.unknown_name)


def unarchived_words(entry: LedgerEntry) -> str:
    """Write that an entry is lost where the latest archive takes the place of a library.

    >>> from datetime import UTC, datetime
    >>> opened = Action(ActionKind.OPEN_BOX, "B7-48")
    >>> unarchived_words(LedgerEntry(12, datetime(2026, 3, 31, tzinfo=UTC), opened, previous="", digest=""))
    'Not in the latest archive: entry 12, open box B7-48'
    """
    what = " ".join(filter(None, (action_words(entry.action), subject_words(entry.action))))
    return f"Not in the latest archive: entry {entry.seq}, {what}"
