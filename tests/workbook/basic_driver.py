"""Runs a macro module in LibreOffice Basic; for the Python that comes with LibreOffice's bridge.

`python3 basic_driver.py TASK.json RESULT.json`. The task names the office program and its profile, the command of a
dispatcher (its first line is the text of the macro module), more modules, cells to fill, formulas over ranges, cells to
read. The text is compiled as it is; what Excel and xlwings' own macros would give it is stood in for in Basic.
"""

import json
import os
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

VBA = "Option VBASupport 1\n"
# Calc does not say which cell called. An error is raised as xlwings' macros raise it; an answer is a table of cells.
STAND_INS = {
    "ExcelStandIn": """Option ClassModule
Function Caller()
  Set Caller = ThisWorkbook.Worksheets(1).Range("A1")
End Function
""",
    "DispatcherStandIn": """Option ClassModule
Public Way As Object
Function CallUDF(module_name, name, arguments, book, caller)
  Dim told, rows, table(), i, j
  told = Way.callFunction(name, arguments)
  If told(0) <> "" Then Err.Raise 1000, , told(0)
  rows = told(1)
  ReDim table(0 To UBound(rows), 0 To UBound(rows(0)))
  For i = 0 To UBound(rows)
    For j = 0 To UBound(rows(0))
      table(i, j) = rows(i)(j)
    Next j
  Next i
  CallUDF = table
End Function
""",
    "Macros": """Dim kept As Object
Sub Remember(way)
  Set kept = New DispatcherStandIn
  Set kept.Way = way
End Sub
Function XLPy()
  Set XLPy = kept
End Function
Function Application()
  Set Application = New ExcelStandIn
End Function
""",
}
#: What Excel hands over for an argument left out.
LEFT_OUT = -2147352572
LONGEST_START = 60.0


def plain(cell: Any) -> Any:
    """An argument as Excel would hand it over: numbers as floats, ranges as rows."""
    if cell is None:
        return LEFT_OUT
    value = cell if isinstance(cell, (str, bool, int, float)) else cell.Value
    if hasattr(value, "Array"):
        return [[None if item is None else inner(item) for item in row] for row in value.Array]
    return inner(value)


def inner(value: Any) -> Any:
    """A value of one cell."""
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def way_to(dispatcher: Any, calls: list[Any]) -> Any:
    """The object behind the stand-in, which notes each call and asks the dispatcher."""
    import unohelper
    from com.sun.star.sheet import XFunctionAccess

    class Way(unohelper.Base, XFunctionAccess):
        def callFunction(self, name: str, arguments: Any) -> Any:
            given = [plain(cell) for cell in arguments]
            calls.append([name, given])
            dispatcher.stdin.write(json.dumps([name, given]) + "\n")
            dispatcher.stdin.flush()
            told = json.loads(dispatcher.stdout.readline())
            return told.get("failed", ""), tuple(map(tuple, told.get("answer", ())))

    return Way()


def connect(pipe: str) -> Any:
    """The desktop of the office program, once it listens."""
    import uno
    from com.sun.star.connection import NoConnectException

    own = uno.getComponentContext()
    resolver = own.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", own)
    ends = time.monotonic() + LONGEST_START
    while True:
        try:
            there = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
            return there.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", there)
        except NoConnectException:
            if time.monotonic() > ends:
                raise
            time.sleep(0.2)


def run(desktop: Any, task: dict[str, Any]) -> dict[str, Any]:
    """Fill the cells and read what the macros answer."""
    from com.sun.star.beans import PropertyValue

    dispatcher = subprocess.Popen(task["dispatcher"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    calls: list[Any] = []
    try:
        text = json.loads(dispatcher.stdout.readline())
        options = (PropertyValue("Hidden", 0, True, 0), PropertyValue("MacroExecutionMode", 0, 4, 0))
        book = desktop.loadComponentFromURL("private:factory/scalc", "_blank", 0, options)
        book.BasicLibraries.VBACompatibilityMode = True
        library = book.BasicLibraries.getByName("Standard")
        # The line that names a module is for the importer of Excel, which takes it out.
        own = "\n".join(line for line in text.split("\n") if not line.startswith("Attribute VB_Name"))
        for name, module in {**STAND_INS, "xlwings_udfs": own, **task["modules"]}.items():
            library.insertByName(name, VBA + module)
        place = "vnd.sun.star.script:Standard.Macros.Remember?language=Basic&location=document"
        book.getScriptProvider().getScript(place).invoke((way_to(dispatcher, calls),), (), ())
        sheet = book.Sheets[0]
        for address, content in task["cells"].items():
            sheet.getCellRangeByName(address).Formula = content
        for address, formula in task["ranges"].items():
            sheet.getCellRangeByName(address).setArrayFormula(formula)
        read = {address: sheet.getCellRangeByName(address).DataArray for address in task["read"]}
        book.close(True)
        return {"text": text, "calls": calls, "read": read}
    finally:
        dispatcher.stdin.close()
        dispatcher.wait(timeout=30)


def main(task_file: str, result_file: str) -> None:
    """Run one task."""
    task = json.loads(Path(task_file).read_text(encoding="utf-8"))
    pipe = f"wear{os.getpid()}"
    command = [task["soffice"], f"-env:UserInstallation={task['profile']}", "--headless", "--norestore"]
    office = subprocess.Popen([*command, f"--accept=pipe,name={pipe};urp;"], stdout=subprocess.DEVNULL)
    desktop = None
    try:
        desktop = connect(pipe)
        Path(result_file).write_text(json.dumps(run(desktop, task)), encoding="utf-8")
    finally:
        if desktop is not None:
            desktop.terminate()
        else:
            office.terminate()
        office.wait(timeout=60)


if __name__ == "__main__":
    main(*sys.argv[1:3])
    sys.stdout.flush()
    # The bridge does not always come to an end by itself.
    os._exit(0)
