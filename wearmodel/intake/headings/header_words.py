"""The words shops head their columns with: variants of each canonical column, and what single words mean.

Everything here is common practice of the trade, no source.
"""

from collections.abc import Mapping
from types import MappingProxyType

__all__ = [
    "FILLERS",
    "FOREIGN_WORDS",
    "HEADER_VARIANTS",
    "NEVER_WITH",
    "OTHER_LANGUAGES",
    "OTHER_VARIANTS",
    "OWN_WORDS",
    "TABLE_WORDS",
    "TEXT_ORDER",
    "WORD_FORMS",
]



def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


HEADER_VARIANTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "unit": (
            "unit", "unit number", "unit no", "unit id", "asset", "asset number", "asset no", "asset id",
            "vehicle", "vehicle number", "vehicle no", "vehicle id", "fleet number", "fleet no", "fleet id",
            "equipment", "equipment number", "equipment id", "truck", "truck number", "van", "plant number",
            "plant no", "machine number", "machine id", "bus number", "vehicle ref", "unit code", "asset code",
            "asset tag",
        ),
        "vehicle_class": (
            "vehicle class", "class", "vehicle type", "vehicle group", "group", "model class", "asset class",
            "asset type", "unit type", "equipment class", "vehicle category", "class code", "vehicle class code",
        ),
        "driveline": (
            "driveline", "driveline layout", "drive line", "drivetrain", "drive train", "layout", "driveline type",
            "shaft layout", "axle configuration", "drive configuration", "propshaft layout",
        ),
        "duty": (
            "duty", "duty class", "duty cycle", "work", "work type", "usage", "service type", "operation",
            "usage class", "application", "duty code", "usage code",
        ),
        "depot": (
            "depot", "site", "base", "location", "garage", "yard", "branch", "warehouse", "store", "home depot",
            "home location", "stores location", "workshop", "terminal", "depot code", "depot name",
        ),
        "in_service_date": (
            "in service date", "in service", "date in service", "start of service", "service start",
            "delivery date", "delivered", "first registration", "registration date", "commissioned",
            "date commissioned", "commission date", "first registration date", "date of first registration",
            "into service", "date into service", "acquired", "acquisition date", "date acquired", "purchase date",
            "date of purchase", "date purchased", "start date", "date delivered",
        ),
        "in_service_odometer": (
            "in service odometer", "in service mileage", "odometer in service", "start odometer",
            "in service odo", "starting odometer", "initial odometer", "start mileage", "delivery odometer",
            "in service meter", "odometer at start", "odometer at delivery", "mileage at delivery",
        ),
        "records_from": ("records from", "records start", "record start", "history from", "data from"),
        "out_of_service_date": (
            "out of service date", "out of service", "date out of service", "retired", "retired date",
            "retirement date", "disposal date", "disposed", "sold", "sold date", "end of service", "date sold",
            "date disposed", "date of disposal", "date retired", "decommissioned", "date decommissioned",
            "withdrawn", "date withdrawn", "end date",
        ),
        "date": (
            "date", "closed", "date closed", "closed date", "completed", "date completed",
            "completion date", "work date", "repair date", "service date", "job date", "reading date",
            "date read", "inspection date", "date inspected", "order date", "wo date", "opened",
            "date opened", "effective date", "fitted date", "ro date", "date in", "date out", "in date", "out date",
            "date of work", "date of repair", "date finished", "date done", "date started", "open date", "close date",
            "date of reading", "reading taken", "date of inspection", "date fitted", "date changed", "change date",
            "transaction date", "posting date", "posted", "comp date",
        ),
        "lift": (
            "lift", "lift height", "ride height", "ride height change", "raised by", "raise", "lift kit",
            "height change", "suspension lift", "lift amount",
        ),
        "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
        "odometer": (
            "odometer", "odometer reading", "odo", "odo reading", "mileage", "meter", "meter reading",
            "km reading", "km", "kms", "kilometres", "kilometers", "miles", "reading", "hour meter",
            "hours run", "clock", "clock reading", "hubometer", "hubometer reading", "hubo",
            "speedo", "speedo reading", "current odometer", "current meter", "mileage in", "meter value", "km in",
            "miles in", "odometer in", "meter in", "engine hours",
        ),
        "engine_hours": (
            "engine hours", "engine hour", "engine hour meter", "engine hours reading", "hour meter",
            "hour meter reading", "hours run", "hours reading", "running hours", "run hours",
            "operating hours", "machine hours", "motor hours", "engine running hours", "engine run time hours",
        ),
        "order": (
            "order", "order number", "order no", "order id", "work order", "work order number",
            "work order no", "work order id", "wo", "wo number", "wo no", "job", "job number", "job no",
            "job card", "ticket", "ticket number", "ro", "ro number", "ro no", "repair order",
            "repair order number", "repair order no", "job id", "job card number", "service order",
            "service order number", "order ref", "job ref", "maintenance order",
        ),
        "text": (
            "text", "description", "work done", "work description", "job description",
            "repair description", "work performed", "details", "line text", "narrative", "work carried out",
            "work", "work text", "correction", "complaint", "remarks", "comments", "notes", "remark", "comment", "note",
            "labour description", "line description", "story", "repair text", "labour text", "operation text",
            "operation description", "symptom", "concern", "defect", "defect description", "fault description",
            "fault", "repairs carried out", "action taken", "corrective action", "cause text", "cause description",
            "complaint text", "correction text", "order text", "long text", "short text", "work details",
            "job details", "repair details", "job notes", "technician notes", "mechanic notes", "technician comments",
            "mechanic comments", "service notes", "task description", "task",
        ),
        "part_number": (
            "part number", "part no", "part", "part id", "part code", "item", "item number", "item no",
            "item code", "stock code", "material", "sku", "material number", "stock number", "stock item", "part ref",
            "component number", "material code", "catalogue number",
        ),
        "quantity": (
            "quantity", "qty", "qty used", "quantity used", "pieces", "pcs", "part qty", "parts qty", "qty issued",
            "issued quantity", "quantity fitted", "qty fitted", "units used",
        ),
        "component": (
            "component", "component code", "part type", "component type", "assembly code", "part class",
            "part group", "product group", "component group", "component name", "comp code",
        ),
        "position": (
            "position", "position code", "place", "location on vehicle", "fitted position", "part position",
            "component position", "location code",
        ),
        "reason": (
            "reason", "reason code", "reason for repair", "repair reason", "cause", "cause code",
            "failure code", "repair type", "failure cause", "job type", "order type", "work order type",
            "maintenance type", "reason for removal", "removal reason", "reason for replacement", "why",
        ),
        "labour_hours": (
            "labour hours", "labor hours", "labour", "labor", "hours worked", "man hours", "labour time",
            "labor time", "work hours", "job hours", "tech hours", "technician hours", "repair hours", "hours booked",
            "hours charged", "hours",
        ),
        "parts_cost": (
            "parts cost", "part cost", "material cost", "materials", "cost of parts", "parts total", "total parts",
            "parts amount", "parts value", "parts price", "line cost", "parts charge",
        ),
        "finding": (
            "finding", "result", "condition", "found", "inspection result", "status", "findings", "outcome",
            "condition found", "grade", "rating", "pass fail", "condition code", "finding code", "result code",
        ),
        "build": ("build", "construction", "design", "variant"),
        "renews": ("renews", "contains", "kit contents", "includes"),
        "unit_price": (
            "unit price", "price", "price each", "unit cost", "cost each", "list price", "cost", "price per unit",
            "cost per unit", "standard cost", "average cost", "last cost", "last price", "purchase price", "each",
            "net price",
        ),
        "lead_time_days": (
            "lead time days", "lead time", "lead days", "delivery time", "delivery days", "leadtime", "replenish days",
            "supply days", "days to deliver", "replenishment time",
        ),
        "lead_time_sd_days": (
            "lead time sd days", "lead time sd", "lead time standard deviation", "lead time spread",
            "lead time deviation",
        ),
        "pack": (
            "pack", "pack size", "pack quantity", "pack qty", "order multiple", "box quantity", "pack of",
            "minimum order quantity", "moq",
        ),
        "superseded_by": (
            "superseded by", "superseded", "replaced by", "supersession", "new part number", "supersedes to",
            "superseded number",
        ),
        "interchangeable_with": (
            "interchangeable with", "interchangeable", "interchangeable part", "alternative part", "alternative",
            "alternatives", "alternate part", "equivalent", "equivalents", "equivalent part", "substitute",
        ),
        "on_hand": (
            "on hand", "in stock", "stock", "qty on hand", "quantity on hand", "balance", "available", "soh",
            "stock on hand", "bin qty", "bin quantity", "qty in stock", "stock qty", "stock level", "stock balance",
            "free stock", "current stock", "qoh",
        ),
        "on_order": (
            "on order", "qty on order", "quantity on order", "ordered", "open orders", "incoming", "due in", "qoo",
        ),
        "month": ("month", "period", "year month", "month ending", "month start", "reporting month", "calendar month"),
        "joins": (
            "joins", "joining", "join", "arrivals", "arriving", "additions", "vehicles joining", "vehicles in",
            "vehicles added", "new vehicles", "to join", "deliveries", "acquisitions", "number joining",
        ),
        "leaves": (
            "leaves", "leaving", "leave", "leavers", "departures", "disposals", "retirements", "removals",
            "vehicles leaving", "vehicles out", "vehicles removed", "to leave", "withdrawals", "number leaving",
        ),
        "distance": (
            "distance", "distance driven", "distance run", "travelled", "km", "miles", "driven", "mileage",
            "distance travelled", "km driven", "miles driven", "km run", "miles run", "kms", "kilometres",
            "kilometers",
        ),
        "stops": ("stops", "stop count", "number of stops", "starts", "number of starts"),
        "idle_hours": ("idle hours", "idle", "idling hours", "idle time", "engine idle hours"),
        "unpaved_share": ("unpaved share", "unpaved", "off road share", "off road", "gravel share", "unsealed share"),
        "tow_hours": ("tow hours", "towing hours", "tow", "towing", "trailer hours"),
        "mean_speed": ("mean speed", "average speed", "avg speed", "speed"),
    }
)  # fmt: skip
"""Headings that stand for each canonical column, the likeliest first."""

OTHER_VARIANTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "unit": (
            "reg", "reg no", "registration", "registration number", "number plate", "licence plate", "plate",
            "plant", "machine", "vin", "chassis number", "serial number", "tail number",
        ),
        "vehicle_class": ("model", "vehicle model", "type", "category", "body type", "make and model", "make model"),
        "depot": ("department", "cost centre", "region", "district"),
        "date": (
            "reported", "date reported", "failure date", "invoice date", "date created", "created", "created on",
            "date entered", "entry date", "date booked",
        ),
        "order": (
            "invoice", "invoice number", "invoice no", "document", "document number", "reference", "ref", "voucher",
        ),
        "text": ("part description", "item description", "part name", "material description", "component description"),
        "part_number": ("product code", "product number", "product", "component number"),
        "labour_hours": ("time taken", "duration"),
        "odometer": ("hours", "days"),
        "reason": ("type",),
        "component": (
            "system", "assembly", "category", "part description", "item description", "description", "part name",
            "material description",
        ),
        "finding": ("remark", "comment", "notes"),
        "unit_price": ("value", "amount"),
        "on_hand": ("qty", "quantity"),
        "month": ("date", "month end"),
    }
)  # fmt: skip
"""Headings that stand for a column only where no likelier heading does."""

WORD_FORMS: Mapping[str, str] = MappingProxyType(
    {
        "no": "number", "nr": "number", "num": "number", "nbr": "number", "numb": "number", "id": "number",
        "ref": "number", "reference": "number", "ident": "number", "nos": "number", "numbers": "number",
        "veh": "unit", "vehicle": "unit", "vehicles": "unit", "asset": "unit", "assets": "unit", "units": "unit",
        "equipment": "unit", "equip": "unit", "eqp": "unit", "eqpt": "unit", "truck": "unit", "van": "unit",
        "bus": "unit", "fleet": "unit", "tag": "number",
        "odo": "odometer", "odom": "odometer", "meter": "odometer", "mtr": "odometer", "mileage": "odometer",
        "clock": "odometer", "hubometer": "odometer", "hubo": "odometer", "speedo": "odometer",
        "speedometer": "odometer", "odometers": "odometer",
        "rdg": "reading", "readings": "reading", "read": "reading",
        "kms": "km", "kilometres": "km", "kilometers": "km", "kilometre": "km", "kilometer": "km", "mile": "miles",
        "mi": "miles", "hrs": "hours", "hr": "hours", "hour": "hours",
        "wo": "order", "ro": "order", "job": "order", "ticket": "order", "orders": "order", "ord": "order",
        "jobcard": "order card", "workorder": "order", "workorders": "order", "ordr": "order",
        "dt": "date", "dates": "date", "dte": "date",
        "close": "closed", "closing": "closed", "clsd": "closed", "complete": "completed",
        "completion": "completed", "compl": "completed", "finish": "finished",
        "open": "opened", "opening": "opened", "opn": "opened", "start": "started", "starts": "started",
        "txt": "text", "desc": "description", "descr": "description", "descrip": "description", "dsc": "description",
        "descriptions": "description", "narr": "narrative", "cmt": "comment", "comments": "comment", "cmts": "comment",
        "remarks": "remark", "rmk": "remark", "rmks": "remark", "notes": "note", "detail": "details",
        "rep": "repair", "rpr": "repair", "repairs": "repair", "svc": "service", "srv": "service", "serv": "service",
        "maint": "maintenance", "tech": "technician", "mech": "mechanic", "labor": "labour", "lab": "labour",
        "lbr": "labour", "op": "operation", "oper": "operation", "corr": "correction", "wrk": "work",
        "symptoms": "symptom", "complaints": "complaint",
        "parts": "part", "pt": "part", "prt": "part", "pn": "part number", "partno": "part number",
        "items": "item",
        "itm": "item", "matl": "material", "mat": "material", "materials": "material", "stk": "stock",
        "prod": "product",
        "qty": "quantity", "qnty": "quantity", "quant": "quantity", "qtty": "quantity", "pcs": "pieces",
        "comps": "component", "components": "component", "cmpt": "component", "pos": "position", "posn": "position",
        "loc": "location", "whse": "warehouse", "wh": "warehouse", "dept": "department",
        "cd": "code", "codes": "code", "rsn": "reason", "cond": "condition", "insp": "inspection", "res": "result",
        "prc": "price", "amt": "amount", "ea": "each", "avg": "average", "mean": "average",
        "ld": "lead", "day": "days", "dys": "days", "oh": "on hand", "oo": "on order",
        "soh": "stock on hand",
        "qoh": "quantity on hand", "avail": "available", "bal": "balance", "mth": "month", "mnth": "month",
        "prd": "period", "dist": "distance", "trav": "travelled", "traveled": "travelled",
        "cls": "class", "grp": "group", "typ": "type", "reg": "registration", "regn": "registration",
        "rego": "registration", "lic": "licence", "license": "licence", "inv": "invoice", "doc": "document",
        "acq": "acquisition", "purch": "purchase", "drv": "drive", "cfg": "configuration", "config": "configuration",
        "hght": "height", "eff": "effective", "ht": "height", "curr": "current", "cur": "current", "idling": "idle",
    }
)  # fmt: skip
"""Short and other forms of words in headings -> the form they are compared in."""

OTHER_LANGUAGES: Mapping[str, str] = MappingProxyType(
    {
        "auftrag": "order", "auftragsnummer": "order number", "auftragsnr": "order number", "nummer": "number",
        "datum": "date", "auftragsdatum": "order date", "fahrzeug": "unit", "fahrzeugnummer": "unit number",
        "fahrzeugnr": "unit number", "wagen": "unit", "kennzeichen": "registration", "kilometerstand": "odometer",
        "kmstand": "odometer", "tachostand": "odometer", "stand": "reading", "zählerstand": "odometer reading",
        "bezeichnung": "description", "beschreibung": "description", "leistungstext": "work text",
        "arbeitstext": "work text", "bemerkung": "remark", "bemerkungen": "remark", "artikel": "item",
        "artikelnummer": "item number", "artikelnr": "item number", "teil": "part", "teilenummer": "part number",
        "teilenr": "part number", "menge": "quantity", "anzahl": "quantity", "bauteil": "component",
        "baugruppe": "component", "ursache": "cause", "grund": "reason", "std": "hours", "stunden": "hours",
        "betriebsstunden": "engine hours", "motorstunden": "engine hours", "draaiuren": "engine hours",
        "arbeitsstunden": "labour hours", "preis": "price", "einzelpreis": "price each", "bestand": "on hand",
        "lager": "warehouse", "lieferzeit": "lead time", "monat": "month", "befund": "finding",
        "ergebnis": "result", "standort": "depot", "fahrzeugart": "vehicle type", "erstzulassung": "first registration",
        "voertuig": "unit", "werkorder": "order", "omschrijving": "description", "onderdeel": "part",
        "onderdeelnummer": "part number", "aantal": "quantity", "prijs": "price", "oorzaak": "cause", "uren": "hours",
        "maand": "month", "voorraad": "on hand", "levertijd": "lead time",
        "véhicule": "unit", "vehicule": "unit", "kilométrage": "odometer", "kilometrage": "odometer",
        "compteur": "odometer",
        "commande": "order", "ordre": "order", "désignation": "description", "libellé": "description",
        "pièce": "part", "quantité": "quantity", "prix": "price", "motif": "reason", "heures": "hours",
        "mois": "month", "délai": "lead time", "dépôt": "depot", "constat": "finding",
        "vehículo": "unit", "vehiculo": "unit", "unidad": "unit", "fecha": "date", "orden": "order",
        "kilometraje": "odometer", "odómetro": "odometer", "descripción": "description", "descripcion": "description",
        "repuesto": "part", "pieza": "part", "cantidad": "quantity", "precio": "price", "motivo": "reason",
        "horas": "hours", "mes": "month", "existencias": "on hand", "hallazgo": "finding",
    }
)  # fmt: skip
"""Words of neighbouring languages -> the English words they are compared as."""

FILLERS = _words(
    "a an s and at by for from in is of on per the to was were this our shop current actual recorded number name "
    "field fld col column record entered line key main primary full used taken"
)
"""Words that change nothing in what a heading means."""

TABLE_WORDS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "vehicles": frozenset({"unit"}),
        "parts": frozenset({"part", "item", "material", "stock", "supplier"}),
        "stock": frozenset({"part", "item", "material", "stock"}),
        "ride_height": frozenset({"unit", "ride", "height", "suspension"}),
        "readings": frozenset({"unit", "reading", "odometer", "service"}),
        "repairs": frozenset({"unit", "order", "repair", "work", "service", "maintenance", "card", "part"}),
        "inspections": frozenset({"unit", "inspection", "service", "check", "component"}),
        "duty_log": frozenset({"unit", "month", "monthly", "period"}),
        "fleet_plan": frozenset({"unit", "month", "monthly", "period"}),
    }
)
"""Words that say no more than which table a column stands in."""

FOREIGN_WORDS = _words(
    "date time hours minutes weeks months days year cost price amount total value tax rate type class group category "
    "status description text note comment remark name make model colour next due previous prior last target warranty "
    "interval limit expiry estimated estimate planned plan budget user driver customer vendor supplier mechanic "
    "technician approved approver phone email address engine tyre fuel weight serial line sequence step code month "
    "period position reason quantity count flag percent margin discount unit part item order odometer distance "
    "location invoice manufacturer owner requested request printed modified updated changed difference since "
    "maximum minimum max min reorder safety allocated reserved barcode bin shelf row measure uom"
)
"""Words that make a heading mean something else, unless the column's own headings use them."""

OWN_WORDS: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "unit": frozenset({"unit"}),
        "odometer": frozenset({"odometer", "reading", "km", "miles", "out"}),
        "order": frozenset({"order", "work", "repair"}),
        "date": frozenset({"date", "order", "work", "repair", "actual"}),
        "text": _words(
            "text description repair work labour operation complaint cause correction reason fault defect symptom "
            "order line details note comment remark narrative action technician mechanic failure"
        ),
        "component": frozenset({"component", "part", "code"}),
        "month": frozenset({"month", "year", "period"}),
        "distance": frozenset({"distance", "odometer", "month"}),
        "lead_time_days": frozenset({"lead", "time", "days", "supplier", "average"}),
        "on_hand": frozenset({"stock", "quantity", "hand", "bin", "on"}),
        "on_order": frozenset({"stock", "quantity", "order", "on"}),
        "unit_price": frozenset({"price", "cost", "each", "unit", "standard", "average"}),
    }
)
"""Words that may stand in a column's heading beside those of one of its variants."""

NEVER_WITH: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "text": frozenset({"unit", "part", "item", "material", "component"}),
        "component": frozenset({"unit"}),
        "date": frozenset({"part"}),
        "order": frozenset({"part"}),
    }
)
"""Words that turn a heading away from a column although they stand in its table's headings."""

TEXT_ORDER = ("complaint", "concern", "symptom", "fault", "defect", "cause", "correction", "corrective", "action")
"""Order in which the texts of one repair line are read: what was complained of, why, what was done."""
