"""The error family: a plain sentence, what to do about it, and where it is."""

from __future__ import annotations

from collections.abc import Callable


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

    def __reduce__(self) -> tuple[Callable[..., RingtexError], tuple[object, ...]]:
        """Come whole out of another process, whatever a family member's constructor takes."""
        return _again, (type(self), self.args, self.message, self.advice, self.where)


def _again(kind: type[RingtexError], args: tuple[object, ...], message: str, advice: str, where: str) -> RingtexError:
    error = kind.__new__(kind)
    error.args = args
    error.message, error.advice, error.where = message, advice, where
    return error


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
