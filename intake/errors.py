"""The one error base: what a person is told, and the exit status it carries.

An error of this family means that the command cannot go on. A picture that cannot be read or a row that cannot be used
is not one: it is a value with a reason, and the run goes on.
"""


class IntakeError(Exception):
    """A failed job, said in one sentence: the thing, why it failed, how to fix it.

    Args:
        thing: what the sentence is about, named as the person knows it (a file, a box, a copy).
        why: the predicate, continuing the sentence ("is not UTF-8 text (byte 0x92 on line 14)").
        remedy: what to do, in the imperative, without a full stop.
    """

    exit_code = 1

    def __init__(self, thing: str, why: str, remedy: str) -> None:
        super().__init__(f"{thing} {why}; {remedy}.")
        self.thing = thing
        self.why = why
        self.remedy = remedy


class UsageError(IntakeError):
    """The command was called in a way that cannot mean anything."""

    exit_code = 2


class FileError(IntakeError):
    """A file or folder that cannot be read or written, or does not hold what it should."""


class StoreError(IntakeError):
    """The library folder cannot be opened, read or written."""


class RefusedError(IntakeError):
    """A step that the state of a copy, box or place does not allow; nothing was changed."""


class ChangedMeanwhileError(RefusedError):
    """A record is not as the plan supposes, for another station was quicker; the step can be planned anew."""
