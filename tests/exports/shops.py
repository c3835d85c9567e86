"""The simulated shops by name."""

import importlib

from exporting import Shop

DEVELOPMENT = (
    "A", "B", "C", "D", "E", "F", "G", "H", "J", "K", "L", "M", "N", "Q", "R", "S", "T", "U", "V", "W", "X", "Y",
)  # fmt: skip
HELD_OUT: tuple[str, ...] = ("I", "O", "P", "Z", "AA", "AB")


def shop_named(name: str) -> Shop:
    """The shop of that letter."""
    if name not in DEVELOPMENT + HELD_OUT:
        raise ValueError(f"no shop {name!r}; there are {', '.join(DEVELOPMENT + HELD_OUT)}")
    folder = "" if name in DEVELOPMENT else "held_out."
    return importlib.import_module(f"{folder}shop_{name.lower()}").SHOP
