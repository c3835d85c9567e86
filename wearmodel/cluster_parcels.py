"""What goes between processes of a cluster, and lies in memory there as numpy's own arrays do. Needs Dask.

The library reads a message into one buffer, and the arrays in it begin wherever the part before them ended, not at
multiples of the size of their numbers. Numpy adds such arrays up through small buffers, in another order than its own,
so that the last digits of sums differ. What arrives in a parcel is therefore copied to where numbers may lie.
"""

from importlib import import_module
from typing import Any

__all__ = ["Parcel", "laid_straight"]

_protocol = import_module("distributed.protocol")


class Parcel:
    """One thing on its way; workers hand it on to each other as it is.

    Parameters
    ----------
    thing
        Whatever the library can send.
    """

    def __init__(self, thing: Any) -> None:
        self.thing = thing


def laid_straight(thing: Any) -> Any:
    """A copy in memory of its own, for small things that came without a parcel.

    Parameters
    ----------
    thing
        Whatever the library can send.

    Returns
    -------
    Any
        The same, numbers beginning where numbers may lie.
    """
    return _opened(*_packed(Parcel(thing))).thing


def _packed(parcel: Parcel) -> tuple[dict[str, Any], list[Any]]:
    header, frames = _protocol.serialize(parcel.thing)
    return {"inner": header}, frames


def _opened(header: dict[str, Any], frames: list[Any]) -> Parcel:
    # Memory that Python gives out begins at a multiple of 16 bytes, as that of numpy's own arrays does.
    return Parcel(_protocol.deserialize(header["inner"], [bytearray(frame) for frame in frames]))


# The library takes these instead of its own way, here and wherever this module is loaded to open a parcel.
_protocol.dask_serialize.register(Parcel)(_packed)
_protocol.dask_deserialize.register(Parcel)(_opened)
