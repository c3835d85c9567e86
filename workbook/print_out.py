"""Overview and due list as PDF, printed by LibreOffice where it is installed."""

import shutil
import subprocess
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from wearmodel.errors import OutputError
from wearmodel.output_files import staging_folder, whole_file
from workbook.planner import write_planner
from workbook.planner.typed import TypedIn

if TYPE_CHECKING:
    from wearmodel.plan import Plan

__all__ = ["find_office", "write_pdf"]

_SHEETS = ("Overview", "Due list")
_TIME_LIMIT = 300


def find_office() -> str:
    """LibreOffice's program.

    Returns
    -------
    str
        Its path.

    Raises
    ------
    OutputError
        If it is not installed.
    """
    found = shutil.which("soffice") or shutil.which("libreoffice")
    if found is None:
        raise OutputError(
            "--pdf needs LibreOffice, which was not found: install LibreOffice Calc, or leave --pdf out and print the "
            "workbook from your spreadsheet program."
        )
    return found


def write_pdf(
    plan: "Plan", path: Path, *, typed: TypedIn | None = None, tables_folder: Path | None = None
) -> None:
    """Write overview and due list as PDF.

    Parameters
    ----------
    plan : Plan
        What is shown.
    path : Path
        Target file; its folder must exist.
    typed : TypedIn, optional
        What a person typed into an earlier workbook.
    tables_folder : Path, optional
        Folder of the result tables, named where a sheet holds only the first rows.

    Raises
    ------
    OutputError
        If LibreOffice is missing or gives no file.
    """
    office = find_office()
    with staging_folder(Path(tempfile.gettempdir())) as folder:
        write_planner(plan, folder / "print.xlsx", typed=typed, only=_SHEETS, tables_folder=tables_folder)
        command = [office, f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless"]
        try:
            subprocess.run(
                [*command, "--convert-to", "pdf", "--outdir", str(folder), str(folder / "print.xlsx")],
                capture_output=True, timeout=_TIME_LIMIT, check=False,
            )  # fmt: skip
        except (OSError, subprocess.TimeoutExpired) as error:
            raise OutputError(f"{path} was not written: LibreOffice did not finish ({error}); try again.") from None
        made = folder / "print.pdf"
        # It exits with 0 on failure too: only the file proves that it worked.
        if not made.is_file():
            raise OutputError(f"{path} was not written: LibreOffice made no PDF; print the workbook from it by hand.")
        with whole_file(path) as temporary:
            shutil.copyfile(made, temporary)
