"""Writes the sheets of a shop as delimited files or one workbook, with a settings file that names the columns."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from export_files import CLEAN, Mess, Sheet, toml_map, write_delimited, write_workbook
from exporting import WORD_COLUMNS, Shop, Writer, settings_head
from vehicle_books import settings_text

Places = list[list[tuple[str, int]]]

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


def write_texts(
    shop: Shop,
    sheets: Mapping[str, Sheet],
    folder: Path,
    headings: Mapping[str, Sequence[str]],
    *,
    lines: str,
    others: Mapping[str, str],
    mess: Mess,
    date_order: str,
    delimiter: str,
    encoding: str,
) -> Places:
    """One delimited file a table, under the shop's own headings; where each repair line stands.

    `lines`: the file of the repair lines, the only one with a mess; `others`: table -> file.
    """
    options = {"delimiter": delimiter, "encoding": encoding}
    places = write_delimited(folder / lines, sheets["repairs"], mess=mess, **options)
    for name, file in others.items():
        write_delimited(folder / file, Sheet(headings[name], sheets[name].rows), **options)
    files = {name: f'file = "{file}"' for name, file in {"repairs": lines, **others}.items()}
    text = settings_text(shop, sheets, headings, files=files, date_order=date_order)
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return [[place] for place in places]


def write_book(
    shop: Shop,
    sheets: Mapping[str, Sheet],
    folder: Path,
    file: str,
    titles: Mapping[str, tuple[str, Sequence[str]]],
    *,
    mess: Mess,
    **options: str,
) -> Places:
    """One workbook with all tables; where each repair line stands.

    `titles`: table -> sheet and the shop's own headings; the mess is around the repair lines; `options`: how
    `write_workbook` shows dates.
    """
    named = {title: Sheet(headings, sheets[name].rows) for name, (title, headings) in titles.items()}
    lines = titles["repairs"][0]
    places = write_workbook(folder / file, named, messes={lines: mess}, **options)[lines]
    files = {name: f'file = "{file}"\nsheet = "{title}"' for name, (title, _) in titles.items()}
    text = settings_text(shop, sheets, {name: own for name, (_, own) in titles.items()}, files=files)
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return [[place] for place in places]
