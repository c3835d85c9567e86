"""What came of reading one repair line: how it is used, or why it is not."""

from dataclasses import dataclass, field
from math import nan
from typing import Literal, Protocol

from wearmodel.intake.tables.row_log import SET_ASIDE
from wearmodel.questions import Answer

__all__ = [
    "FOR_REVIEW",
    "NOT_A_PART",
    "UNRECOGNISED",
    "FurtherPart",
    "LineReading",
    "faulty",
    "left_out",
    "waiting",
]

NOT_A_PART = "other"
"""Code a shop's components can be mapped to when they are none of a driveline."""

UNRECOGNISED = "no driveline part recognised"
"""Problem of a line that is about something else."""

FOR_REVIEW = "waits for review; answer the question, or fill it in to use the row"
"""What is done about a line that a person must look at."""


class _Coded(Protocol):
    """A line with its codes."""

    @property
    def component(self) -> str: ...
    @property
    def position(self) -> str: ...
    @property
    def reason(self) -> str: ...


@dataclass(frozen=True)
class FurtherPart:
    """One more part that a line renewed.

    Parameters
    ----------
    component, position, reason : str
        Canonical; empty position: several are possible.
    quantity : float
        How many.
    candidates : tuple of str
        Those positions.
    """

    component: str
    position: str
    reason: str
    quantity: float = 1.0
    candidates: tuple[str, ...] = ()


@dataclass(frozen=True)
class LineReading:
    """A repair line as it is used, or why it is not.

    Parameters
    ----------
    component, position, reason : str
        Canonical; empty component: the kit of the part number tells; empty position: several are possible.
    verdict : str
        `kept`, `faulty`, `left_out` or `waiting`.
    column, problem, action : str
        What stands against a line that is not kept.
    from_text : tuple of str
        What was read from the text: `component u_joint`.
    quantity : float
        How many, where the words say so; NaN where the column or the default holds.
    candidates : tuple of str
        Positions that are possible, where the position is open.
    further : tuple of FurtherPart
        Other parts the line renewed.
    suggestion : Answer
        Of a line that waits: the best suggestion.
    open_component, open_reason, open_deed : bool
        Of a line that waits: that is all that is missing, so that other lines may tell it.
    options, hints : frozenset of str
        Components and reasons the words leave; empty where they leave any.
    learnt : frozenset of str
        `component`, `reason`, `work`: what was taken from other lines.
    """

    component: str
    position: str
    reason: str
    verdict: Literal["kept", "faulty", "left_out", "waiting"] = "kept"
    column: str = ""
    problem: str = ""
    action: str = ""
    from_text: tuple[str, ...] = ()
    quantity: float = nan
    candidates: tuple[str, ...] = ()
    further: tuple[FurtherPart, ...] = ()
    suggestion: Answer = field(default_factory=Answer)
    open_component: bool = False
    open_reason: bool = False
    open_deed: bool = False
    options: frozenset[str] = frozenset()
    hints: frozenset[str] = frozenset()
    learnt: frozenset[str] = frozenset()


def faulty(line: _Coded, column: str, problem: str, action: str = SET_ASIDE) -> LineReading:
    """A line that cannot be right as it stands.

    Parameters
    ----------
    line : RepairLine
        As given.
    column, problem, action : str
        What stands against it, and what is done.
    """
    return LineReading(line.component, line.position, line.reason, "faulty", column, problem, action)


def left_out(line: _Coded, column: str, problem: str, action: str) -> LineReading:
    """A line that is in order but has no part in the answer.

    Parameters
    ----------
    line : RepairLine
        As given.
    column, problem, action : str
        Why, and what is done.
    """
    return LineReading(line.component, line.position, line.reason, "left_out", column, problem, action)


def waiting(line: _Coded, column: str, problem: str, *, component: str = "", reason: str = "") -> LineReading:
    """A line that is not used until a person answers a question about it.

    Parameters
    ----------
    line : RepairLine
        As given.
    column, problem : str
        What is not clear.
    component, reason : str
        The best suggestion; empty where there is none.
    """
    suggestion = Answer(work="renewed", component=component or line.component, reason=reason or line.reason)
    return LineReading(
        line.component, line.position, line.reason, "waiting", column, problem, FOR_REVIEW, suggestion=suggestion
    )
