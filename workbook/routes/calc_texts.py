"""The texts inside the Calc add-in, all made from the table of functions.

Its interface, the entries of the function wizard, and the component that Calc loads. In Calc a function is called
`WEAR.SURVIVAL`; programmatic names have no underscore, which the interface language does not allow.
"""

from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from wearmodel import __version__
from workbook.function_list import FUNCTIONS
from workbook.function_spec import FunctionSpec

__all__ = ["EXTENSION", "addin_texts", "calc_name", "stored_name"]

#: Identifier of the extension in the spreadsheet program.
EXTENSION = "driveline.wear.functions"

# The name of the implementation is also what Calc puts before a method to find the function of a workbook.
_IMPLEMENTATION = "WEAR"
_COMPONENT_FILE = "calc_component.py"
_INTERFACE_FILE = "XWearFunctions.idl"
_WIZARD_FILE = "CalcAddIns.xcu"
_XML = '<?xml version="1.0" encoding="UTF-8"?>\n'


def calc_name(name: str) -> str:
    """Name of a workbook function in a cell of Calc.

    Parameters
    ----------
    name : str
        Its name in the table of functions.

    Returns
    -------
    str
        `WEAR.LIFE_AT` for `WEAR_LIFE_AT`.
    """
    return name.replace("_", ".", 1)


def stored_name(name: str) -> str:
    """Name of a workbook function in the files that Calc saves and opens, which is not the one it shows.

    Parameters
    ----------
    name : str
        Its name in the table of functions.

    Returns
    -------
    str
        `WEAR.LIFEAT` for `WEAR_LIFE_AT`.
    """
    return f"{_IMPLEMENTATION}.{_method(name).upper()}"


def addin_texts() -> dict[str, str]:
    """Files of the add-in beside the packages.

    Returns
    -------
    dict of str to str
        Text of each file by its path inside the add-in.
    """
    specs = tuple(FUNCTIONS.values())
    return {
        "META-INF/manifest.xml": _manifest(),
        "description.xml": _description(),
        _INTERFACE_FILE: _interface(specs),
        _WIZARD_FILE: _wizard(specs),
        _COMPONENT_FILE: _component(specs),
    }


def _method(name: str) -> str:
    return name.split("_", 1)[1].replace("_", "").lower()


def _plain(argument: str) -> str:
    """An argument's name without underscores."""
    first, *rest = argument.split("_")
    return first + "".join(word.capitalize() for word in rest)


def _manifest() -> str:
    kinds = {
        _INTERFACE_FILE: "application/vnd.sun.star.uno-typelibrary;type=RDB",
        _COMPONENT_FILE: "application/vnd.sun.star.uno-component;type=Python",
        _WIZARD_FILE: "application/vnd.sun.star.configuration-data",
    }
    entries = "".join(
        f'  <manifest:file-entry manifest:full-path="{path}" manifest:media-type="{kind}"/>\n'
        for path, kind in kinds.items()
    )
    namespace = "http://openoffice.org/2001/manifest"
    return f'{_XML}<manifest:manifest xmlns:manifest="{namespace}">\n{entries}</manifest:manifest>\n'


def _description() -> str:
    return (
        f'{_XML}<description xmlns="http://openoffice.org/extensions/description/2006">\n'
        f'  <identifier value="{EXTENSION}"/>\n'
        f'  <version value="{__version__}"/>\n'
        '  <display-name><name lang="en">Driveline wear functions</name></display-name>\n'
        "</description>\n"
    )


def _interface(specs: Iterable[FunctionSpec]) -> str:
    """The interface in its own language; every argument and answer may be a cell or a range."""
    methods = "".join(
        f"  sequence< sequence< any > > {_method(spec.name)}("
        + ", ".join(f"[in] any {_plain(argument.name)}" for argument in spec.arguments)
        + ");\n"
        for spec in specs
    )
    return f"module driveline {{ module wear {{\ninterface XWearFunctions {{\n{methods}}};\n}}; }};\n"


def _wizard(specs: Iterable[FunctionSpec]) -> str:
    """Names and texts for the function wizard."""
    functions = "".join(_wizard_entry(spec) for spec in specs)
    return (
        f'{_XML}<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" '
        'xmlns:xs="http://www.w3.org/2001/XMLSchema" oor:name="CalcAddIns" oor:package="org.openoffice.Office">\n'
        f'<node oor:name="AddInInfo"><node oor:name="{_IMPLEMENTATION}" oor:op="replace">'
        f'<node oor:name="AddInFunctions">\n{functions}</node></node></node>\n</oor:component-data>\n'
    )


def _wizard_entry(spec: FunctionSpec) -> str:
    arguments = "".join(
        f'<node oor:name={quoteattr(_plain(argument.name))} oor:op="replace">'
        f"{_property('DisplayName', argument.name)}{_property('Description', argument.description)}</node>\n"
        for argument in spec.arguments
    )
    return (
        f'<node oor:name="{_method(spec.name)}" oor:op="replace">'
        f"{_property('DisplayName', calc_name(spec.name))}{_property('Description', spec.description)}"
        '<prop oor:name="Category"><value>Add-In</value></prop>'
        f"{_property('CompatibilityName', spec.name)}"
        f'<node oor:name="Parameters">\n{arguments}</node></node>\n'
    )


def _property(name: str, text: str) -> str:
    return f'<prop oor:name="{name}"><value xml:lang="en-US">{escape(text)}</value></prop>'


def _component(specs: Iterable[FunctionSpec]) -> str:
    methods = "".join(
        f"    def {_method(spec.name)}(self, {', '.join(_plain(argument.name) for argument in spec.arguments)}):\n"
        f"        return answer_in_calc({spec.name!r}, ({''.join(f'{_plain(a.name)}, ' for a in spec.arguments)}))\n\n"
        for spec in specs
    ).replace("(self, )", "(self)")
    names = ",\n".join(f"    {_method(spec.name)!r}: {calc_name(spec.name)!r}" for spec in specs)
    return _COMPONENT.format(methods=methods, names=names, implementation=_IMPLEMENTATION)


# The names and texts shown come from the wizard's file; the methods that would give them answer callers that ask.
_COMPONENT = '''"""The component that Calc loads: one method a workbook function."""

import uno
import unohelper
from com.sun.star.lang import Locale, XServiceInfo
from com.sun.star.sheet import LocalizedName, XAddIn, XCompatibilityNames

from workbook.routes.calc_cells import answer_in_calc

try:
    from driveline.wear import XWearFunctions
except ImportError:  # while the add-in is being registered its own interface is not loaded yet
    class XWearFunctions:
        pass

IMPLEMENTATION = {implementation!r}
SERVICES = (IMPLEMENTATION, "com.sun.star.sheet.AddIn")
NAMES = {{
{names},
}}
METHODS = {{shown: method for method, shown in NAMES.items()}}


class WearFunctions(unohelper.Base, XAddIn, XCompatibilityNames, XServiceInfo, XWearFunctions):
    def __init__(self, context):
        self.locale = Locale("en", "US", "")

{methods}    def getProgrammaticFuntionName(self, shown):  # the interface spells it so
        return METHODS.get(shown.upper(), "")

    def getDisplayFunctionName(self, method):
        return NAMES.get(method, "")

    def getFunctionDescription(self, method):
        return ""

    def getDisplayArgumentName(self, method, place):
        return ""

    def getArgumentDescription(self, method, place):
        return ""

    def getProgrammaticCategoryName(self, method):
        return "Add-In"

    def getDisplayCategoryName(self, method):
        return "Add-In"

    def getCompatibilityNames(self, method):
        return (LocalizedName(Locale("en", "US", ""), NAMES.get(method, "").replace(".", "_")),)

    def setLocale(self, locale):
        self.locale = locale

    def getLocale(self):
        return self.locale

    def getImplementationName(self):
        return IMPLEMENTATION

    def supportsService(self, service):
        return service in SERVICES

    def getSupportedServiceNames(self):
        return SERVICES


g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(WearFunctions, IMPLEMENTATION, SERVICES)
'''
