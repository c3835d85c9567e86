"""The sections `[tables]` and `[databases]` of `fleet.toml`: where tables are and what their columns mean."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from wearmodel.intake.fleet_toml.settings_sections import CLOCKS
from wearmodel.intake.fleet_toml.toml_section import TomlSection, nearest_to
from wearmodel.intake.tables.schema import FINDINGS, REASONS, SCHEMA

__all__ = ["TableSource", "databases_of", "tables_of"]

_DATE_ORDERS = ("dmy", "mdy", "ymd")
_LONGEST_QUERY = 20_000
_KEYS = ("file", "sheet", "database", "query", "columns", "values", "date_order", "unit", "decimal")
_JOINED_KINDS = ("note",)
_MOST_SOURCES = 200


@dataclass(frozen=True)
class TableSource:
    """Where a table, or one export of it, is, and what its columns and codes mean; empty = not said.

    Parameters
    ----------
    file, sheet : str
        File in the fleet folder, sheet of a workbook.
    columns : mapping of str to tuple of str
        Canonical name -> the shop's heading; several only where the column holds free wording, which is then
        joined in that order.
    values : mapping of str to mapping
        Canonical column -> {the shop's code: canonical value}.
    date_order : str
        `dmy`, `mdy` or `ymd`.
    unit : str
        Of this table's distances.
    decimal : str
        Decimal mark, `.` or `,`.
    database, query : str
        Name of a database of `[databases]`, and the query that gives the table.
    """

    file: str = ""
    sheet: str = ""
    columns: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    values: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    date_order: str = ""
    unit: str = ""
    decimal: str = ""
    database: str = ""
    query: str = ""


def databases_of(section: TomlSection) -> Mapping[str, str]:
    """The databases, from `[databases]`.

    Parameters
    ----------
    section : TomlSection
        `[databases]`.

    Returns
    -------
    mapping of str to str
        Name -> URL.
    """
    urls = {name: section.verbatim(name, limit=2_000) for name in section.values}
    return MappingProxyType({name: url for name, url in urls.items() if url})


def tables_of(section: TomlSection, *, distance_unit: str) -> Mapping[str, tuple[TableSource, ...]]:
    """Where each table is, from `[tables.X]` or several `[[tables.X]]`.

    Parameters
    ----------
    section : TomlSection
        `[tables]`.
    distance_unit : str
        Unit of the fleet, which a table's unit must convert to.

    Returns
    -------
    mapping of str to tuple of TableSource
        By canonical table name, where the file says something of it; one entry for each export.
    """
    section.check_keys(SCHEMA)
    tables: dict[str, tuple[TableSource, ...]] = {}
    for name in section.values:
        if name not in SCHEMA:
            continue
        owns = section.section_list(name)
        if len(owns) > _MOST_SOURCES:
            section.complain(name, f"{len(owns):,} sections", f"{_MOST_SOURCES} at most")
            continue
        sources = [source for own in owns for source in _table_sources(own, table=name, distance_unit=distance_unit)]
        if len(owns) > 1:
            _check_told_apart(owns)
        tables[name] = tuple(sources)
    return MappingProxyType(tables)


def _check_told_apart(owns: list[TomlSection]) -> None:
    """Of several sections of one table, each must say where its rows are."""
    for own in owns:
        if not any(key in own.values for key in ("file", "sheet", "database")):
            own.complain("file", "is not there", "each of several sections names its own file, sheet or database")


def _table_sources(own: TomlSection, *, table: str, distance_unit: str) -> list[TableSource]:
    """The sources of one section: one for each file it names."""
    own.check_keys(_KEYS)
    unit = own.text("unit", "", choices=CLOCKS)
    if unit and unit != distance_unit and {unit, distance_unit} != {"km", "mi"}:
        own.complain("unit", f"{unit!r} cannot be turned into {distance_unit!r}", "only km and mi convert")
    columns, values = _columns(own, table=table), _values(own, table=table)
    database, query = own.text("database", ""), own.verbatim("query", limit=_LONGEST_QUERY)
    _check_database(own)
    date_order = own.text("date_order", "", choices=_DATE_ORDERS)
    decimal = own.text("decimal", "", choices=(".", ","))
    return [
        TableSource(
            file=file,
            sheet=own.text("sheet", ""),
            columns=columns,
            values=values,
            date_order=date_order,
            unit=unit,
            decimal=decimal,
            database=database,
            query=query,
        )
        for file in own.one_or_more("file") or ("",)
    ]


def _columns(own: TomlSection, *, table: str) -> Mapping[str, tuple[str, ...]]:
    section = own.section("columns")
    section.check_keys(SCHEMA[table].names)
    columns: dict[str, tuple[str, ...]] = {}
    for name in section.values:
        headings = section.one_or_more(name)
        is_known = name in SCHEMA[table].names
        if len(headings) > 1 and is_known and SCHEMA[table].column(name).kind not in _JOINED_KINDS:
            wordings = [c.name for table in SCHEMA.values() for c in table.columns if c.kind in _JOINED_KINDS]
            section.complain(name, "is one column, not several", f"only {' and '.join(wordings)} can be joined")
        columns[name] = headings
    _check_read_once(section, columns, table=table)
    return MappingProxyType(columns)


def _check_read_once(section: TomlSection, columns: Mapping[str, tuple[str, ...]], *, table: str) -> None:
    """One heading may stand for two columns of words, never for a day or a number beside something else."""
    meant: dict[str, str] = {}
    for name, headings in columns.items():
        for heading in headings if name in SCHEMA[table].names else ():
            other = meant.setdefault(heading, name)
            kinds = {SCHEMA[table].column(column).kind for column in (name, other)}
            if other != name and not kinds <= {"text", "note"}:
                section.complain(name, f"{heading!r} is named for {other} too", "name each heading once")


def _values(own: TomlSection, *, table: str) -> Mapping[str, Mapping[str, str]]:
    section = own.section("values")
    section.check_keys([c.name for c in SCHEMA[table].columns if c.kind == "text"])
    codes = {column: MappingProxyType(section.texts(column)) for column in section.values}
    for column, choices in (("reason", REASONS), ("finding", FINDINGS)):
        for code, word in codes.get(column, {}).items():
            if word and word not in choices:
                section.section(column).complain(
                    code, f"{word!r} is not a {column}{nearest_to(word, choices)}", "use " + ", ".join(choices)
                )
    return MappingProxyType(codes)


def _check_database(own: TomlSection) -> None:
    """A database and its query go together, and stand in place of a file."""
    for key, other in (("database", "query"), ("query", "database")):
        if key in own.values and other not in own.values:
            own.complain(key, "stands alone", "give database and query together")
    if "database" in own.values and ("file" in own.values or "sheet" in own.values):
        own.complain("database", "stands beside a file or sheet", "name one place for each source")
