"""What can go wrong in a person's hands, each with a sentence that helps.

Every message says what is wrong, where, and what to do next. Nothing is half-done when one is
raised. A message is a template and its values, so that any language can say it.
"""

from .sentences import say

__all__ = [
    "AssemblyError",
    "BenchError",
    "Cancelled",
    "FileError",
    "FlatwrightError",
    "GridNotFoundError",
    "OutlineError",
    "PartError",
    "PartsDoNotMeetError",
    "PhotoError",
    "SheetError",
    "SymmetryError",
    "TraceError",
    "UnitError",
]


class FlatwrightError(ValueError):
    """Any mistake a person can make or bad input they can bring.

    Parameters
    ----------
    template
        The sentence, with ``{name}`` where a value stands.
    **values
        What stands there.
    """

    def __init__(self, template: str = "", /, **values: object) -> None:
        super().__init__(say(template, values))
        self.template, self.values = template, values


class UnitError(FlatwrightError):
    """A typed length or angle cannot be understood."""


class PhotoError(FlatwrightError):
    """A picture cannot be read."""


class BenchError(FlatwrightError):
    """True scale cannot be found from the reference given."""


class GridNotFoundError(BenchError):
    """No regular printed grid shows in the photo."""


class OutlineError(FlatwrightError):
    """A shape is open, crosses itself or is otherwise no outline."""


class TraceError(OutlineError):
    """No part edge can be followed from the clicked place."""


class SymmetryError(OutlineError):
    """A shape has no symmetry of the kind asked for."""


class PartError(FlatwrightError):
    """A part cannot be made from this stock with this process."""


class AssemblyError(FlatwrightError):
    """Parts or the fixture cannot be put in relation to each other."""


class PartsDoNotMeetError(AssemblyError):
    """Two parts share no line along which they could be joined."""


class SheetError(FlatwrightError):
    """Pieces cannot be laid on the stock's sheet."""


class FileError(FlatwrightError):
    """A file cannot be written, or does not read back as meant."""


class Cancelled(Exception):  # noqa: N818 - a person's wish, not an error
    """Raised by a progress callback when the person presses Esc."""
