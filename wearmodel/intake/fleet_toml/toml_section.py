"""One section of `fleet.toml`, read key by key, with every problem collected as a sentence."""

import datetime as dt
import math
import re
from collections.abc import Collection, Iterable, Mapping
from difflib import get_close_matches

import pandas as pd

from wearmodel.intake.values.plain_text import plain

__all__ = ["TomlSection", "nearest_to"]


def nearest_to(word: str, known: Iterable[str]) -> str:
    """The known word most like this one, ready to stand in a sentence.

    Parameters
    ----------
    word : str
        Unknown word.
    known : iterable of str
        Known words.

    Returns
    -------
    str
        ` (nearest: 'x')`; empty when nothing is known.
    """
    words = list(known)
    folded = {w.casefold(): w for w in words}
    close = get_close_matches(word.casefold()[:100], folded, n=1, cutoff=0.0)
    return f" (nearest: {folded[close[0]]!r})" if close else ""


class TomlSection:
    """A section of `fleet.toml` under its dotted name.

    Parameters
    ----------
    values : mapping
        Keys and values as parsed.
    name : str
        Dotted name of the section; empty for the top of the file.
    problems : list of str
        Receives one sentence a problem.
    defaults : list of str
        Receives the dotted name of each key that took its default.
    """

    def __init__(
        self, values: Mapping[str, object], *, name: str, problems: list[str], defaults: list[str]
    ) -> None:
        self.values = values
        self.name = name
        self.problems = problems
        self.defaults = defaults

    def dotted(self, key: str) -> str:
        """The key with the name of its section before it."""
        return f"{self.name}.{key}" if self.name else key

    def complain(self, key: str, problem: str, remedy: str) -> None:
        """Collect one sentence about a key."""
        self.problems.append(f"fleet.toml, key {plain(self.dotted(key))}: {problem}; {remedy}.")

    def check_keys(self, known: Collection[str], *, remedy: str = "correct or remove it") -> None:
        """Refuse keys that are not known, naming the nearest known one."""
        for key in self.values:
            if key not in known:
                self.complain(key, f"not a known key{nearest_to(key, known)}", remedy)

    def section(self, key: str) -> "TomlSection":
        """The section under a key; empty when the key is missing or is no section."""
        value = self.values.get(key, {})
        if not isinstance(value, Mapping):
            self.complain(key, f"{_shown(value)} is not a section", f"write [{self.dotted(key)}] above its keys")
            value = {}
        return TomlSection(value, name=self.dotted(key), problems=self.problems, defaults=self.defaults)

    def section_list(self, key: str) -> "list[TomlSection]":
        """The section under a key, or the several that were written `[[key]]`, numbered from 1."""
        value = self.values.get(key)
        if not isinstance(value, list):
            return [self.section(key)]
        sections: list[TomlSection] = []
        for number, inner in enumerate(value, start=1):
            name = f"{self.dotted(key)}[{number}]"
            if isinstance(inner, Mapping):
                sections.append(TomlSection(inner, name=name, problems=self.problems, defaults=self.defaults))
            else:
                self.complain(key, f"{_shown(inner)} is not a section", f"write [[{self.dotted(key)}]] above its keys")
        return sections

    def sections(self) -> dict[str, "TomlSection"]:
        """Every key as a section of its own."""
        return {key: self.section(key) for key in self.values}

    def number(
        self, key: str, default: float | None, *, low: float = 0.0, high: float = 1e9, open_low: bool = False
    ) -> float:
        """A number between two bounds, or the default where the key is missing (NaN for None)."""
        if key not in self.values:
            if default is not None:
                self.defaults.append(self.dotted(key))
            return math.nan if default is None else default
        number = _as_number(self.values[key])
        if number is None:
            self.complain(key, f"{_shown(self.values[key])} is not a number", "write a plain number")
            return math.nan
        return self._in_bounds(key, number, low=low, high=high, open_low=open_low)

    def numbers(self, key: str, *, low: float, high: float, open_low: bool = False) -> tuple[float, ...]:
        """A list of numbers between two bounds; empty when missing."""
        value = self.values.get(key, [])
        parsed = [_as_number(v) for v in value] if isinstance(value, list) else [None]
        numbers = [number for number in parsed if number is not None]
        if len(numbers) < len(parsed):
            self.complain(key, f"{_shown(value)} is not a list of numbers", "write numbers in square brackets")
            return ()
        return tuple(self._in_bounds(key, n, low=low, high=high, open_low=open_low) for n in numbers)

    def _in_bounds(self, key: str, number: float, *, low: float, high: float, open_low: bool) -> float:
        if number < low or number > high or (open_low and number == low):
            over = "more than" if open_low else "from"
            span = f"{over} {low:,.10g} to {high:,.10g}"
            self.complain(key, f"{number:.10g} is out of range", f"a number {span} is needed here")
            return math.nan
        return number

    def text(self, key: str, default: str, *, choices: Collection[str] = (), named: bool = False) -> str:
        """A text, one of the choices where there are any; `named` lists a default taken."""
        if key not in self.values:
            if named:
                self.defaults.append(self.dotted(key))
            return default
        value = self.values[key]
        if not isinstance(value, str) or not value.strip() or len(value) > 500:
            self.complain(key, f"{_shown(value)} is not a text", "write a word in quotation marks")
            return default
        word = plain(value.strip(), limit=500)
        if choices and word not in choices:
            known = ", ".join(repr(choice) for choice in choices)
            self.complain(key, f"{_shown(word)} is not one of {known}", "choose one of them")
            return default
        return word

    def texts(self, key: str) -> dict[str, str]:
        """A section whose values are all texts."""
        inner = self.section(key)
        return {name: inner.text(name, "") for name in inner.values}

    def one_or_more(self, key: str) -> tuple[str, ...]:
        """A text, or several in square brackets, in their order; empty when missing."""
        if key not in self.values:
            return ()
        value = self.values[key]
        if not isinstance(value, list):
            word = self.text(key, "")
            return (word,) if word else ()
        words = tuple(plain(word.strip(), limit=500) for word in value if isinstance(word, str))
        if not words or len(words) < len(value) or not all(words) or len(set(words)) < len(words):
            self.complain(key, f"{_shown(value)} is not a list of texts", "write each text once, in quotation marks")
            return ()
        return words

    def verbatim(self, key: str, *, limit: int) -> str:
        """A text as it stands, line ends and spaces included; empty when missing."""
        value = self.values.get(key, "")
        if not isinstance(value, str) or len(value) > limit or (key in self.values and not value.strip()):
            self.complain(key, "is not a text", f"write it in quotation marks, {limit:,} characters at most")
            return ""
        return value

    def date(self, key: str) -> pd.Timestamp | None:
        """A date, written plain or as text in ISO form; None and listed as a default when missing."""
        if key not in self.values:
            self.defaults.append(self.dotted(key))
            return None
        value = self.values[key]
        if isinstance(value, str) and re.fullmatch(r"\d{4}-\d{2}-\d{2}", value, re.ASCII):
            try:
                value = dt.date.fromisoformat(value)
            except ValueError:
                value = self.values[key]
        if isinstance(value, dt.date) and 1950 <= value.year <= 2100:
            return pd.Timestamp(value.year, value.month, value.day)
        self.complain(key, f"{_shown(value)} is not a date of the years 1950 to 2100", "write it as 2026-06-30")
        return None


def _as_number(value: object) -> float | None:
    """The value as a finite number; None when it is none."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if math.isfinite(number) else None


def _shown(value: object) -> str:
    """A value as it may stand in a sentence."""
    try:
        return repr(plain(value)) if isinstance(value, str) else plain(str(value), limit=80)
    except ValueError:  # a number of thousands of digits
        return "the number given"
