"""xlwings' importer and dispatcher in a process of their own: lines of JSON in, lines of JSON out.

The first line out is the macro text that xlwings' importer hands to a workbook. Each line in names a function and its
arguments; the line out is its answer, or under "failed" what the dispatcher raised.
"""

import json
import sys
import types
from pathlib import Path
from typing import Any

from windows_stand_ins import xlwings_as_on_windows

#: What Excel hands over for an argument left out.
LEFT_OUT = -2147352572


class _Parts:
    """The modules of a workbook's macro project: takes what is imported."""

    def __init__(self) -> None:
        self.text = ""

    def __call__(self, name: str) -> str:
        return name

    def Remove(self, name: str) -> None:
        assert name == "xlwings_udfs"

    def Import(self, path: str) -> None:
        self.text = Path(path).read_text(encoding="utf-8")


def imported_text(udfs: Any, module: str) -> str:
    """Text of the macro module that xlwings' importer puts into a workbook."""
    parts = _Parts()
    book = types.SimpleNamespace(
        Name="planner.xlsm", Worksheets=[], VBProject=types.SimpleNamespace(VBComponents=parts),
        Application=types.SimpleNamespace(Version="16.0", MacroOptions=lambda *names, **texts: None),
    )  # fmt: skip
    udfs.import_udfs(module, book)
    return parts.text


def main(module: str) -> None:
    """Answer until the input ends."""
    udfs = xlwings_as_on_windows()
    out, sys.stdout = sys.stdout, sys.stderr  # the importer tells the console what it did
    print(json.dumps(imported_text(udfs, module)), file=out, flush=True)
    for line in sys.stdin:
        name, cells = json.loads(line)
        arguments = [tuple(map(tuple, cell)) if isinstance(cell, list) else cell for cell in cells]
        try:
            answer = {"answer": udfs.call_udf(module, name, arguments)}
        except Exception as error:
            answer = {"failed": str(error)}
        print(json.dumps(answer), file=out, flush=True)


if __name__ == "__main__":
    main(sys.argv[1])
