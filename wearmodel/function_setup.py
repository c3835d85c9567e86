"""The command `functions`: the workbook functions listed, or set up in a spreadsheet program."""

from pathlib import Path

from wearmodel.errors import InputError, OutputError

__all__ = ["list_functions", "set_up_functions"]


def list_functions() -> str:
    """The workbook functions, for a person to read.

    Returns
    -------
    str
        Three lines for each.
    """
    from workbook.function_list import function_rows

    lines = [
        f"{row['name']}({row['arguments']})\n    {row['answer']}\n    Example: {row['example']}"
        for row in function_rows()
    ]
    return "\n".join(["Workbook functions; the examples come from an invented model.", *lines])


def set_up_functions(
    program: str, *, model: Path | None = None, out: Path | None = None, profile: Path | None = None
) -> str:
    """Set the functions up in a spreadsheet program.

    Parameters
    ----------
    program : str
        `calc` or `excel`.
    model : Path, optional
        Model file that the functions take.
    out : Path, optional
        Where only to write the add-in of Calc, instead of installing it.
    profile : Path, optional
        Settings folder of LibreOffice; the user's own without it.

    Returns
    -------
    str
        What was done, and what to do next.

    Raises
    ------
    InputError
        If options do not go together.
    OutputError
        If something cannot be written or installed.
    """
    if model:
        from wearmodel.survival.store import read_model

        read_model(model)
    if program == "calc":
        return _set_up_calc(model, out, profile)
    if out or profile:
        raise InputError("--out and --profile belong to --setup calc; leave them out.")
    from workbook.routes.excel_setup import write_excel_settings

    target = write_excel_settings(Path.home(), model=model)
    return f"Settings written to {target}; open a planner workbook ending in .xlsm and press Load the functions."


def _set_up_calc(model: Path | None, out: Path | None, profile: Path | None) -> str:
    """Install the add-in of Calc, or write it where a file is named."""
    from workbook.routes.calc import build_addin, install_addin

    if not out:
        install_addin(model=model, profile=profile)
        return "Installed in LibreOffice; start it anew and type =WEAR.SURVIVAL( into a cell of Calc."
    if profile:
        raise InputError("--out only writes the add-in and --profile installs it; give one of them.")
    if not out.parent.is_dir():
        raise OutputError(f"{out} cannot be written: the folder {out.parent} does not exist; make it first.")
    if out.suffix.casefold() != ".oxt":
        raise OutputError(f"{out} does not end in .oxt and would not be taken as an add-in; name it so.")
    build_addin(out, model=model)
    return f"Add-in written to {out}"
