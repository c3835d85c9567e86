"""What can stop the whole run.

WearmodelError
    InputError      the fleet folder cannot be used; one sentence a problem
    ModelError      a model file cannot be used
    OutputError     a result cannot be written
    ClusterError    the workers of a cluster cannot be used

Anything that concerns one row only is a `wearmodel.findings.Finding`, not an exception.
"""

from collections.abc import Iterable

__all__ = ["ClusterError", "InputError", "ModelError", "OutputError", "WearmodelError"]


class WearmodelError(Exception):
    """Base of every error shown to a user; `problems` holds one sentence each."""

    def __init__(self, problems: str | Iterable[str]) -> None:
        self.problems: tuple[str, ...] = (problems,) if isinstance(problems, str) else tuple(problems)
        super().__init__("\n".join(self.problems))


class InputError(WearmodelError):
    """The fleet folder cannot be used as it is."""


class ModelError(WearmodelError):
    """A model file is missing, damaged or of another version."""


class OutputError(WearmodelError):
    """A result file cannot be written."""


class ClusterError(WearmodelError):
    """The cluster named is not there, or its workers are not like this run."""
