"""Empty stand-ins for the Windows packages, so that xlwings' own dispatcher and converters work on any system.

Nothing of xlwings is replaced; what a stand-in holds is what its modules ask for while they are imported.
"""

import ctypes
import datetime
import sys
import types
from typing import Any
from unittest.mock import MagicMock, patch


def _stand_in(name: str, **names: Any) -> None:
    module = types.ModuleType(name)
    module.__dict__.update(names)
    sys.modules[name] = module
    parent, _, leaf = name.rpartition(".")
    if parent:
        setattr(sys.modules[parent], leaf, module)


def xlwings_as_on_windows() -> Any:
    """The xlwings package with its Windows side; only for a process of its own."""
    # Loaded before the system is another in name, as they look at it.
    import asyncio  # noqa: F401
    import concurrent.futures  # noqa: F401
    import subprocess  # noqa: F401

    import numpy  # noqa: F401
    import pandas  # noqa: F401

    error = type("com_error", (Exception,), {})
    _stand_in("pywintypes", com_error=error, TimeType=type("Time", (datetime.datetime,), {}), IID=str, Time=None)
    _stand_in(
        "pythoncom", __file__="pythoncom.dll", com_error=error, CoInitialize=lambda *_: None, new=None,
        IID_IDispatch="IDispatch", TypeIIDs={"IDispatch": type("Dispatch", (), {})},
    )  # fmt: skip
    for name in ("win32api", "win32con", "win32event", "win32gui", "win32com", "win32com.server"):
        _stand_in(name)
    _stand_in("win32process", GetWindowThreadProcessId=None)
    _stand_in("win32timezone", TimeZoneInfo=types.SimpleNamespace(utc=lambda: datetime.UTC))
    _stand_in(
        "win32com.client", Dispatch=lambda item: item, DispatchEx=None, CDispatch=type("CDispatch", (), {}),
        CoClassBaseClass=object, DispatchBaseClass=object, gencache=None,
    )  # fmt: skip
    _stand_in("win32com.server.dispatcher")
    _stand_in("win32com.server.policy")
    _stand_in("win32com.server.util", wrap=lambda item, **_: item, unwrap=lambda item: item)
    _stand_in("win32com.server.exception", COMException=error)
    libraries = [patch.object(ctypes, name, MagicMock(), create=True) for name in ("windll", "oledll", "PyDLL")]
    with patch.object(sys, "platform", "win32"), libraries[0], libraries[1], libraries[2]:
        import xlwings
    from xlwings import udfs

    xlwings.func, xlwings.arg = udfs.xlfunc, udfs.xlarg
    return udfs
