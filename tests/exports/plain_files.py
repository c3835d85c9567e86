"""Writes the sheets of a shop as delimited files with a settings file that names the columns."""

from collections.abc import Mapping
from pathlib import Path

from export_files import CLEAN, Mess, Sheet, toml_map, write_delimited
from exporting import WORD_COLUMNS, Shop, Writer, settings_head

TABLES = ("vehicles", "readings", "inspections", "ride_height")
_RENAMED = {"hours": "labour_hours", "cost": "parts_cost"}


def delimited_writer(
    models: Mapping[tuple[str, str], str],
    *,
    titles: tuple[str, ...],
    delimiter: str = ",",
    encoding: str = "utf-8",
    date_order: str = "dmy",
    parts: bool = False,
) -> Writer:
    """A writer of one file a table; `titles` stand above the repair lines of a messy export."""

    def write(shop: Shop, sheets: Mapping[str, Sheet], folder: Path, messy: bool) -> list[list[tuple[str, int]]]:
        mess = Mess(titles=titles, page=60, blanks=2) if messy else CLEAN
        options = {"delimiter": delimiter, "encoding": encoding}
        places = write_delimited(folder / "repairs.csv", sheets["repairs"], mess=mess, **options)
        text = settings_head(shop)
        for name in (*TABLES, *(("parts",) if parts else ())):
            write_delimited(folder / f"{name}.csv", sheets[name], **options)
            text += f'\n[tables.{name}]\nfile = "{name}.csv"\n'
            text += f'date_order = "{date_order}"\n' if name != "parts" else ""
            if name == "vehicles":
                text += f"values.driveline = {toml_map({model: line for (_, line), model in models.items()})}\n"
        # Complaint, cause and correction are columns of one text: they are recognised, and are no keys of their own.
        named = {key: heading for heading, key in shop.repair_columns.items() if key not in WORD_COLUMNS[1:]}
        columns = {_RENAMED.get(key, key): heading for key, heading in named.items()}
        text += f'\n[tables.repairs]\nfile = "repairs.csv"\ndate_order = "{date_order}"\n'
        text += f"columns = {toml_map(columns)}\n"
        for column, codes in shop.codes.items():
            text += f"values.{column} = {toml_map({code: meaning for meaning, code in codes.items()})}\n"
        (folder / "fleet.toml").write_text(text, encoding="utf-8")
        return [[place] for place in places]

    return write
