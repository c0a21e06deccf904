"""The error family: a plain sentence, what to do about it, and where it is."""

from __future__ import annotations


class RingtexError(Exception):
    """Something that the user can be told in a sentence.

    Parameters: message (what is wrong, one sentence without a full stop), advice (what to do), where (a key path, a
    file,
    a cell; may be empty). `str(error)` is the whole text for a person.
    """

    def __init__(self, message: str, advice: str = "", where: str = "") -> None:
        self.message = message
        self.advice = advice
        self.where = where
        head = f"{where}: {message}" if where else message
        super().__init__(f"{head}. {advice}" if advice else f"{head}.")


class InputError(RingtexError):
    """What was given cannot be used (a value, a design file, a mesh file). The command line ends with 2."""


class OutputError(RingtexError):
    """A result could not be written, or did not read back as it was written. Ends with 2; the old file is untouched."""


class SelfCheckError(RingtexError):
    """Our own result failed its check: a fault of ringtex, never of the user."""


class Cancelled(RingtexError):  # noqa: N818 (what happened, not a mistake)
    """The user stopped the work; nothing half-done is left behind."""

    def __init__(self) -> None:
        super().__init__("Stopped", "Nothing was written")
