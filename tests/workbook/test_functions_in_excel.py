"""How the functions load, and how xlwings' own decorators mark them where Excel is."""

import subprocess
import sys

from workbook.function_list import FUNCTIONS

# Empty stand-ins for the Windows packages that xlwings' module of functions imports; the decorators and the
# generator of the VBA module are xlwings' own.
ON_WINDOWS = """
import sys, types

def stand_in(name, **names):
    module = types.ModuleType(name)
    module.__dict__.update(names)
    sys.modules[name] = module

stand_in("pythoncom", CoInitialize=lambda: None)
stand_in("pywintypes", com_error=type("com_error", (Exception,), {}))
stand_in("win32com")
stand_in("win32com.client", Dispatch=lambda item: item)
import xlwings
from xlwings import udfs
xlwings.func, xlwings.arg = udfs.xlfunc, udfs.xlarg
from workbook import functions
from workbook.function_list import FUNCTIONS
"""


def run(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_loading_the_functions_is_light() -> None:
    code = """
import sys
import workbook.functions
print(*sorted(sys.modules))
"""
    modules = run(code).split()
    heavy = {"pandas", "scipy", "lifelines", "sklearn", "xlsxwriter", "openpyxl", "matplotlib"}
    assert not heavy & set(modules)
    if sys.platform != "win32":
        assert "xlwings" not in modules


def test_functions_are_plain_python_without_xlwings() -> None:
    code = """
import sys
sys.modules["xlwings"] = None
sys.platform = "win32"
from workbook import functions
print(functions.WEAR_STOCK_LEVEL(3), functions.WEAR_SURVIVAL("u_joint", 1)[:8])
"""
    assert run(code).split() == ["6.0", "no", "model"]


def test_functions_are_plain_python_where_xlwings_marks_nothing() -> None:
    code = """
import xlwings
from workbook import functions
print(functions.WEAR_STOCK_LEVEL(3), hasattr(functions.WEAR_STOCK_LEVEL, "__xlfunc__"))
"""
    assert run(code).split() == ["6.0", str(sys.platform == "win32")]


def test_xlwings_marks_every_function_with_ranges_and_texts() -> None:
    code = (
        ON_WINDOWS
        + """
for name, spec in FUNCTIONS.items():
    mark = getattr(functions, name).__xlfunc__
    assert mark["name"] == name and mark["category"] == "Wear parts", mark
    assert mark["ret"] == {"doc": spec.answer, "options": {}}, mark["ret"]
    for found, argument in zip(mark["args"], spec.arguments, strict=True):
        assert found["name"] == argument.name
        assert found["doc"] == argument.description
        assert found["options"] == {"ndim": 2, "err_to_str": True}, found
        assert ("optional" in found) == (not argument.required)
        assert argument.required or found["optional"] == argument.default
print(len(FUNCTIONS), functions.WEAR_STOCK_LEVEL([[3.0], [None]]))
"""
    )
    assert run(code) == f"{len(FUNCTIONS)} [[6.0], [None]]\n"


def test_xlwings_writes_a_vba_function_for_each() -> None:
    code = (
        ON_WINDOWS
        + """
import io
book, out = types.SimpleNamespace(Name="book.xlsm"), io.StringIO()
udfs.generate_vba_wrapper("workbook.functions", functions, out, book)
print(out.getvalue())
"""
    )
    text = run(code)
    assert text.count("End Function") == len(FUNCTIONS)
    assert "Function WEAR_SURVIVAL(component, distance, Optional duty, Optional lift)\n" in text
    assert "Function WEAR_COMPONENTS()\n" in text
    assert "Function WEAR_STOCK_LEVEL(mean_demand, Optional service_level, Optional variance)\n" in text
