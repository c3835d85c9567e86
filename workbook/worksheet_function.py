"""What makes a Python function a workbook function: no traceback in a cell, Excel's marks, its docstring."""

from collections.abc import Callable
from typing import Any, TypeVar

from workbook.cells import Cell, always_readable
from workbook.function_list import FUNCTIONS
from workbook.function_spec import FunctionSpec
from workbook.routes.excel import in_excel

__all__ = ["worksheet_function"]

Function = TypeVar("Function", bound=Callable[..., Cell])


def worksheet_function(function: Function) -> Function:
    """Guard a function against tracebacks, mark it for Excel, complete its docstring.

    Parameters
    ----------
    function : callable
        Named as in the list of functions.

    Returns
    -------
    callable
        The workbook function.
    """
    spec = FUNCTIONS[function.__name__]
    guarded: Any = always_readable(function)
    guarded.__doc__ = spec.answer  # what Excel's wizard shows; it has no room for the rest
    marked: Any = in_excel(guarded, spec)
    marked.__doc__ = _docstring(spec)
    return marked


def _docstring(spec: FunctionSpec) -> str:
    """Docstring of a function from its row in the table."""
    lines = [spec.answer]
    if spec.arguments:
        lines += ["", "Parameters", "----------"]
    for argument in spec.arguments:
        optional = "" if argument.required else ", optional"
        lines += [f"{argument.name} : {argument.kind} or range{optional}", f"    {argument.description}"]
    return "\n".join([*lines, "", "Returns", "-------", "value or range", f"    {spec.description}"])
