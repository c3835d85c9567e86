"""Speed of the workbook functions in LibreOffice Calc's own process: `python tests/benchmarks/calc_speed.py`.

Installs the add-in in a private profile, with a clock put around each call of the component, recalculates a workbook
with 40,000 calls of one cell, as many of an empty function, and ten calls over 10,000 rows, and reads what the clock
counted. The spans from the first call's start to the last one's end count Calc's own work between them too: the calls
of the empty function are what Calc and its bridge to Python take by themselves, the most that any function can reach.
Processor time is of Calc's own thread, and stays as it is when the machine has other work. Needs python3-numpy.
"""

import json
import sys
import tempfile
import zipfile
from pathlib import Path

import pytest
import xlsxwriter

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "workbook")]

from calc_office import Office  # noqa: E402

from wearmodel.survival.store import write_model  # noqa: E402
from workbook.example_model import EXAMPLE_MODEL  # noqa: E402
from workbook.routes import calc  # noqa: E402

CALLS, ARRAYS, ROWS = 40_000, 10, 10_000
CLOCK = '''
import json as _json
import time as _time
from pathlib import Path as _Path
_plain = answer_in_calc
_seen = {"empty function": [], "one cell": [], "range": []}

def answer_in_calc(name, arguments):
    started, wall = _time.thread_time(), _time.perf_counter()
    if arguments[0] == "nothing":
        answer, kind = ((0.5,),), _seen["empty function"]
    else:
        answer = _plain(name, arguments)
        kind = _seen["range" if any(isinstance(a, tuple) for a in arguments) else "one cell"]
    ended = _time.thread_time()
    if not kind:
        kind.extend([0, 0.0, started, wall, 0.0, 0.0])
    kind[0] += 1
    kind[1] += ended - started
    kind[4:] = ended, _time.perf_counter()
    if kind[0] in (CALLS, ARRAYS):
        _Path(PLACE).write_text(_json.dumps(_seen))
    return answer

IMPLEMENTATION ='''


def main() -> None:
    """Print the figures."""
    with tempfile.TemporaryDirectory(prefix="wear-speed-") as name:
        folder = Path(name)
        folder.chmod(0o711)
        office = Office(folder / "office")
        model = folder / "model.json"
        write_model(EXAMPLE_MODEL, model)
        model.chmod(0o644)
        place = office.profile / "figures.txt"
        plain = calc.addin_texts

        def timed() -> dict[str, str]:
            texts = plain()
            clock = CLOCK.replace("CALLS", str(CALLS)).replace("ARRAYS", str(ARRAYS)).replace("PLACE", repr(str(place)))
            texts["calc_component.py"] = texts["calc_component.py"].replace("\nIMPLEMENTATION =", clock, 1)
            return texts

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(calc, "addin_texts", timed)
            office.install(patch, model=model)
        book = folder / "calls.xlsx"
        write_calls(book)
        saved = office.convert(book, to="xlsx")
        assert zipfile.is_zipfile(saved)
        seen = json.loads(place.read_text(encoding="utf-8"))
    for kind, (calls, inside, first, first_wall, last, last_wall) in seen.items():
        busy, wall = last - first, last_wall - first_wall
        each, own = busy / calls * 1e6, inside / calls * 1e6
        print(
            f"{kind}: {calls:,} calls, {calls / busy:,.0f} a second of processor time in Calc ({calls / wall:,.0f} by "
            f"the clock), {each:,.1f} microseconds each, {own:,.1f} of them in the add-in"
        )


def write_calls(path: Path) -> None:
    """A workbook with the calls, cached as 0."""
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet()
    for row in range(CALLS):
        sheet.write(row, 0, 5.0 * row)
        sheet.write_formula(row, 1, f'=WEAR.SURVIVAL("u_joint",A{row + 1})', None, 0)
        sheet.write_formula(row, 2, f'=WEAR.SURVIVAL("nothing",A{row + 1})', None, 0)
    for column in range(ARRAYS):
        formula = f'{{=WEAR.SURVIVAL("u_joint",A1:A{ROWS},"fleet",{column})}}'
        sheet.write_array_formula(0, 3 + column, ROWS - 1, 3 + column, formula, None, 0)
    book.close()


if __name__ == "__main__":
    main()
