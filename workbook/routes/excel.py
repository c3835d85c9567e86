"""Excel on Windows: marking the workbook functions with xlwings' own decorators.

xlwings marks functions only where Excel can call them, on Windows; elsewhere its decorators change nothing
and importing it costs a second. So it is asked only there, or where it is loaded already; without it
the functions are plain Python.
"""

import sys
from collections.abc import Callable
from typing import Any, TypeVar, no_type_check

from workbook.function_spec import FunctionSpec

__all__ = ["CATEGORY", "in_excel"]

Function = TypeVar("Function", bound=Callable[..., Any])

#: Under which heading Excel's function wizard lists the functions.
CATEGORY = "Wear parts"


def _xlwings() -> Any:
    """The xlwings package where it has something to mark, else None."""
    if sys.platform != "win32" and "xlwings" not in sys.modules:
        return None
    try:
        import xlwings
    except ImportError:
        return None
    return xlwings


def in_excel(function: Function, spec: FunctionSpec) -> Function:
    """Mark a function for Excel: every argument may be a range, and carries its text for the wizard.

    Parameters
    ----------
    function : callable
        A workbook function.
    spec : FunctionSpec
        Its row in the table of functions.

    Returns
    -------
    callable
        The same function.

    Notes
    -----
    Ranges arrive as lists of rows (`ndim=2`), error cells as their text. Type hints are kept from xlwings,
    which would take them for conversions.
    """
    xlwings = _xlwings()
    if xlwings is None:
        return function
    marked: Any = no_type_check(function)
    for argument in spec.arguments:
        marked = xlwings.arg(argument.name, ndim=2, err_to_str=True, doc=argument.description)(marked)
    # Last, as each decorator for an argument would set the category back.
    return xlwings.func(category=CATEGORY)(marked)
