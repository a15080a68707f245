"""The words for what the ledger says was done."""

from collections.abc import Mapping

from intake.model.changes import Action, ActionKind, LedgerEntry

_WORDS: Mapping[ActionKind, str] = {
    ActionKind.IMPORT_EDITIONS: "import editions",
    ActionKind.IMPORT_PRINTINGS: "import printings",
    ActionKind.IMPORT_PLACES: "import places",
    ActionKind.IMPORT_COPIES: "import copies",
    ActionKind.IMPORT_BOXES: "import boxes",
    ActionKind.IMPORT_CONSIGNMENT: "import consignment",
    ActionKind.IMPORT_RATES: "import rates",
    ActionKind.IMPORT_EVERYTHING: "import everything",
    ActionKind.IMPORT_UNLISTED_COPIES: "import copies that were on no list",
    ActionKind.EDIT_EDITION: "edit edition",
    ActionKind.TAKE_FROM_SERVER: "take from a library's server",
    ActionKind.MERGE_EDITIONS: "merge editions",
    ActionKind.SET_EXTENT: "set extent of serial",
    ActionKind.WITHDRAW_EDITION: "withdraw edition",
    ActionKind.EDIT_COPY: "edit copy",
    ActionKind.ADD_COPIES: "add copies",
    ActionKind.MOVE_COPIES: "move copies",
    ActionKind.WITHDRAW_COPIES: "withdraw copies",
    ActionKind.OPEN_BOX: "open box",
    ActionKind.PACK_COPY: "pack copy",
    ActionKind.CLOSE_BOX: "close box",
    ActionKind.WEIGH_BOX: "weigh box",
    ActionKind.MEASURE_BOX: "measure box",
    ActionKind.BOOK_PACKING_PLAN: "book packing plan",
    ActionKind.CONSIGN_BOXES: "consign boxes",
    ActionKind.CHECK_IN_BOX: "check in box",
    ActionKind.FINISH_BOX: "finish box",
    ActionKind.RECORD_DAMAGE: "record damage",
    ActionKind.UNPACK_COPY: "unpack copy",
    ActionKind.SEE_COPY_AGAIN: "see copy again",
    ActionKind.RECORD_NEW_COPY: "record new copy",
    ActionKind.QUEUE_QUERY: "put on query pile",
    ActionKind.DECIDE_QUERY: "decide query",
    ActionKind.DECIDE_AS_LISTED_COPY: "decide query: a listed copy",
    ActionKind.DECIDE_AS_COPY_SEEN_AGAIN: "decide query: a copy seen again",
    ActionKind.DECIDE_AS_NEW_COPY: "decide query: a copy on no list",
    ActionKind.DECIDE_AS_NEW_EDITION: "decide query: a new edition",
    ActionKind.SET_QUERY_ASIDE: "set query aside",
    ActionKind.MAKE_BOOKCASE: "make bookcase",
    ActionKind.SET_ORDER_OF_SHELVES: "set order of shelves",
    ActionKind.SHELVE_COPY: "shelve copy",
    ActionKind.ARRANGE_SHELVES: "arrange shelves",
    ActionKind.CHECK_SHELF: "check shelf",
    ActionKind.INSPECT_COPY: "inspect copy",
    ActionKind.PHOTOGRAPH_COPY: "photograph copy",
    ActionKind.REPORT_CONDITION: "report condition",
    ActionKind.VALUE_COPY: "value copy",
    ActionKind.VALUE_SET: "value set",
    ActionKind.ENTER_RATE: "enter rate",
    ActionKind.PRINT_SHELF_LABELS: "print shelf labels",
    ActionKind.PRINT_FLAG_LABELS: "print flag labels",
    ActionKind.PRINT_BOX_LABELS: "print box labels",
    ActionKind.PRINT_SPINE_LABELS: "print spine labels",
    ActionKind.UNDO: "undo",
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
    return f"query {action.subject}" if action.kind in _OF_QUERIES else action.subject


def action_words(action: Action) -> str:
    """Write what was done; an action of a kind that this program does not know is quoted as the ledger has it.

    >>> action_words(Action(ActionKind.DECIDE_AS_NEW_COPY, "7"))
    'decide query: a copy on no list'
    """
    return _WORDS.get(action.kind, f"unknown step '{action.unknown_name}'")


def unarchived_words(entry: LedgerEntry) -> str:
    """Write that an entry is lost where the latest archive takes the place of a library.

    >>> from datetime import UTC, datetime
    >>> opened = Action(ActionKind.OPEN_BOX, "B7-48")
    >>> unarchived_words(LedgerEntry(12, datetime(2026, 3, 31, tzinfo=UTC), opened, previous="", digest=""))
    'Not in the latest archive: entry 12, open box B7-48'
    """
    what = " ".join(filter(None, (action_words(entry.action), subject_words(entry.action))))
    return f"Not in the latest archive: entry {entry.seq}, {what}"
