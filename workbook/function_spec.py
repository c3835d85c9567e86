"""What a row of the table of workbook functions is: a function, its arguments, an example."""

from dataclasses import dataclass
from math import inf

__all__ = ["REQUIRED", "RUN_TO_FAILURE", "Argument", "FunctionSpec"]

#: Default of an argument that must be given.
REQUIRED = "(required)"
#: Word for an interval without end, in answers and as an argument.
RUN_TO_FAILURE = "run to failure"


@dataclass(frozen=True)
class Argument:
    """One argument: a cell, or a range of cells that gives a range of answers.

    Parameters
    ----------
    name : str
        Neither a cell address nor a word of VBA.
    doc : str
        At most 255 characters.
    unit : str
        Of a number; empty where it has none.
    kind : str
        `number`, `text`, or `interval` (a number, or the words for running to failure).
    default : str, float or None
        Taken for a cell left blank; None where the model file or another rule says what to take.
    low, high : float
        Bounds of a number; `low_open`, `high_open` where the bound itself is not allowed.
    """

    name: str
    doc: str
    unit: str = ""
    kind: str = "number"
    default: str | float | None = REQUIRED
    low: float = -inf
    high: float = inf
    low_open: bool = False
    high_open: bool = False

    @property
    def required(self) -> bool:
        """Whether a blank cell leaves the answer blank."""
        return self.default is REQUIRED

    @property
    def description(self) -> str:
        """What it means, with its unit."""
        return _with_unit(self.doc, self.unit)

    def signature(self) -> str:
        """The argument as in the list of functions, optional ones in brackets."""
        if self.required:
            return self.name
        if self.default is None:
            return f"[{self.name}]"
        return f'[{self.name}="{self.default}"]' if self.kind == "text" else f"[{self.name}={self.default:g}]"


@dataclass(frozen=True)
class FunctionSpec:
    """One workbook function.

    Parameters
    ----------
    name : str
        As in a cell.
    answer : str
        What it answers, at most 255 characters.
    unit : str
        Of the answer.
    arguments : tuple of Argument
        In order; optional ones last.
    example : tuple of str or float
        Arguments of the example.
    value : str, float or None
        Answer of the example; None for a table.
    """

    name: str
    answer: str
    unit: str
    arguments: tuple[Argument, ...]
    example: tuple[str | float, ...]
    value: str | float | None

    @property
    def description(self) -> str:
        """What it answers, with the unit of the answer."""
        return _with_unit(self.answer, self.unit)


def _with_unit(sentence: str, unit: str) -> str:
    return f"{sentence.rstrip('.')} [{unit}]." if unit else sentence
