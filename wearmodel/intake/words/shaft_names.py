"""What a shop calls its shafts: where propeller shafts have a name of their own, a drive shaft drives a wheel.

On one side of the Atlantic the joints of a propeller shaft are those of the prop and a drive shaft is a half shaft; on
the other side the drive shaft is the propeller shaft. Common practice of the trade, no source.
"""

import re
from collections.abc import Iterable

__all__ = ["drive_shafts_are_half_shafts"]

_JOINT = r"(?:u[ ./-]?j|uni|universal|cross|spider|carrier|support|hanger|cent(?:er|re)|ctr|slip|slid)"
_PROP = r"(?:prop(?:eller)?(?:[ -]?sha?ft)?|p/sha?ft|t/sha?ft|tail ?shaft|cardan)"
_DRIVE = r"(?:d(?:rive)?[ /-]?sha?ft|d(?:rive)?[ /-]?line|drv ?sha?ft)"
_OF_PROP, _OF_DRIVE = (
    re.compile(rf"\b{name}s?\b[^.;,/]{{0,25}}\b{_JOINT}|\b{_JOINT}\w*\b[^.;,/]{{0,20}}\b{name}", re.IGNORECASE)
    for name in (_PROP, _DRIVE)
)
_LOOKED_AT = 20_000
_FEWEST = 15
_HARDLY_EVER = 0.05


def drive_shafts_are_half_shafts(texts: Iterable[str]) -> bool:
    """Whether the lines of a shop tell its propeller shafts and its drive shafts apart.

    Parameters
    ----------
    texts : iterable of str
        Its lines as written; the first 20,000 are looked at.

    Returns
    -------
    bool
        True where universal joints and support bearings are those of a prop and hardly ever of a drive shaft.
    """
    of_prop = of_drive = 0
    for _, text in zip(range(_LOOKED_AT), texts, strict=False):
        if _OF_PROP.search(text):
            of_prop += 1
        elif _OF_DRIVE.search(text):
            of_drive += 1
    return of_prop >= _FEWEST and of_drive <= _HARDLY_EVER * of_prop
