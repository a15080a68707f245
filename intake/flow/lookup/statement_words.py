"""Words for what was, and was not, understood of a statement of collected parts."""

from collections.abc import Mapping

from intake.runs.statements import (
    StatementFault,
    StatementProblem,
    StatementRemark,
    StatementRemarkKind,
)
from intake.units.language import say, term

_FAULTS: Mapping[StatementProblem, str] = {
    StatementProblem.EMPTY: term("nothing is stated; write parts such as 'Tidewrack Quarterly 57-83, 90'"),
    StatementProblem.NO_SERIAL: term("{word} has no serial before it; name it, as in 'Tidewrack Quarterly 57-83'"),
    StatementProblem.NO_NUMBERS: term(
        "{word} has no numbers after it; add them, as in 'Tidewrack Quarterly 57-83'; "
        "a semicolon begins another serial, so write a comma where the numbers of one go on"
    ),
    StatementProblem.NOT_UNDERSTOOD: term(
        "{word} at character {place} is not understood; write ranges like 57-83, lists "
        "like 57, 60, annual 2, another serial after a semicolon, and a title with numbers in it in quotation marks"
    ),
    StatementProblem.BACKWARDS: term(
        "{word} at character {place} runs backwards; write the smaller number first and both in full"
    ),
    StatementProblem.TOO_LARGE: term("{word} at character {place} is larger than any number of a serial; correct it"),
    StatementProblem.MIXED_LEVELS: term(
        "{word} at character {place} goes from one kind of number to another; write each "
        "by itself, as in v.1:no.1-v.2:no.6"
    ),
    StatementProblem.BARE_LEVELS: term("{word} at character {place} does not say what its numbers are; write v.2:no.5"),
    StatementProblem.WHICH_LEVEL: term(
        "{word} at character {place} may be numbers of the volume before it or of the "
        "whole serial; write v.2:no.5, or the serial's own numbers first"
    ),
    StatementProblem.TOO_DEEP: term("{word} at character {place} has more than two levels; leave the innermost out"),
    StatementProblem.FRACTION_IN_RANGE: term(
        "{word} at character {place} is a range that begins or ends between two "
        "numbers; name the inserted part by itself, as in 12, 12½, 13-20"
    ),
    StatementProblem.QUOTE_OPEN: term(
        "the quotation mark at character {place} is not closed; close it after the title"
    ),
    StatementProblem.UNKNOWN_DIGIT: term(
        "{word} at character {place} has a digit that is not known; write only what is"
    ),
    StatementProblem.COMBINED_TOO_MANY: term(
        "{word} at character {place} has more numbers than one issue has; write a "
        "hyphen for a range, as in 45-120, and leave a year out"
    ),
    StatementProblem.YEAR_AND_ISSUE: term(
        "{word} at character {place} runs backwards; for the issues of a year write "
        "1978:no.3-5, for two numbers the smaller one first"
    ),
    StatementProblem.ROMAN: term("{word} at character {place} is written in Roman numerals; write figures, as in 1-4"),
}

_REMARKS: Mapping[StatementRemarkKind, str] = {
    StatementRemarkKind.NAMED_TWICE: "'{word}' names parts that were named before",
    StatementRemarkKind.COMBINED: "'{word}' is one issue with several numbers: it counts once, and is held where "
    "any of them is",
    StatementRemarkKind.DECIMAL_COMMA: "'{word}' is taken for two parts; for one part between two numbers write 12½ or "
    "12.5",
    StatementRemarkKind.CAPTION_OR_TITLE: "'{word}' is taken for what is numbered, not for the end of the title; write "
    "the title in quotation marks if it belongs to it",
    StatementRemarkKind.DATE_LEFT_OUT: "the dates '{word}' are left out",
    StatementRemarkKind.NOTE_LEFT_OUT: "the note '{word}' is left out",
    StatementRemarkKind.OTHER_NUMBER_LEFT_OUT: "the other number '{word}' is left out",
    StatementRemarkKind.UNKNOWN_END: "the end of '{word}' is not known; the earliest is taken",
    StatementRemarkKind.VOLUMES_BETWEEN: "'{word}' is taken to have the whole volumes between",
    StatementRemarkKind.SAME_RUN: "'{word}' is taken for more of what stands before the semicolon, as libraries write; "
    "write 'no.' before the serial's own numbers",
    StatementRemarkKind.NOT_PUBLISHED: "by the semicolon, nothing was published as '{word}'; give the extent of the "
    "serial without it, or it counts as missing",
    StatementRemarkKind.PLAIN_NUMBERS: "'{word}' is taken for the serial's own numbers; if it is more of what stands "
    "before the semicolon, write a comma",
}


def fault_words(fault: StatementFault) -> str:
    """Write why a statement was not understood, where, and what to do.

    >>> fault_words(StatementFault("Tide 83-57", StatementProblem.BACKWARDS, 5, "83-57"))
    "'83-57' at character 6 runs backwards; write the smaller number first and both in full"
    """
    words = _FAULTS[fault.problem]
    word = repr(fault.word) if fault.word or not words.startswith("{word} at") else say("what stands")
    return say(words, word=word, place=fault.at + 1)


def remark_sentence(remark: StatementRemark) -> str:
    """Write what was understood in a way that may not be meant.

    >>> remark_sentence(StatementRemark(StatementRemarkKind.COMBINED, "12/13"))
    "'12/13' is one issue with several numbers: it counts once, and is held where any of them is"
    """
    return _REMARKS[remark.kind].format(word=remark.word)
