"""The units that rule books of the sport print, with exact factors, and how they are spelled.

pint is the authority: a test holds every row against it. The table stands beside it because pint takes a quarter of a second
to start, which every command would pay for `mm` and `kg`, and because it refuses or misreads much of what rule books print:
dB(A), °C, cm3, PS, `"`, RON, Shore A, and pounds in a spring rate. Spelling is strict; `mW` is no `MW`.
"""

from __future__ import annotations

from typing import NamedTuple


class UnitRow(NamedTuple):
    """One unit: what it measures, its size in the base unit of that, its name for pint, and its spellings.

    `measure` is a key of `MEASURES`. Spellings are parted by `|`; the first is the one shown. `pint` is empty for scales that
    pint does not have. `offset` is in base units, for temperatures.
    """

    measure: str
    factor: str
    pint: str
    spellings: str
    offset: str = "0"


# What can be measured: name in the vocabulary, dimension (see `Unit`), unit that values are shown in by default. Of names that
# share a dimension the first is used in messages.
MEASURES: dict[str, tuple[str, str]] = {
    "number": ("1", ""),
    "share": ("1", "%"),
    "length": ("[length]", "mm"),
    "area": ("[length]^2", "mm²"),
    "volume": ("[length]^3", "l"),
    "mass": ("[mass]", "kg"),
    "time": ("[time]", "s"),
    "speed": ("[length] [time]^-1", "km/h"),
    "acceleration": ("[length] [time]^-2", "m/s²"),
    "force": ("[length] [mass] [time]^-2", "N"),
    "torque": ("[length]^2 [mass] [time]^-2", "Nm"),
    "energy": ("[length]^2 [mass] [time]^-2", "kJ"),
    "power": ("[length]^2 [mass] [time]^-3", "kW"),
    "pressure": ("[length]^-1 [mass] [time]^-2", "bar"),
    "stress": ("[length]^-1 [mass] [time]^-2", "N/mm²"),
    "stiffness": ("[mass] [time]^-2", "N/mm"),
    "torsional-stiffness": ("[angle]^-1 [length]^2 [mass] [time]^-2", "Nm/deg"),
    "density": ("[length]^-3 [mass]", "kg/l"),
    "weight-to-power": ("[length]^-2 [time]^3", "kg/kW"),
    "power-to-weight": ("[length]^2 [time]^-3", "kW/kg"),
    "temperature": ("[temperature]", "°C"),
    "angle": ("[angle]", "°"),
    "rotation": ("[rotation]", "rpm"),
    "frequency": ("[time]^-1", "Hz"),
    "voltage": ("[current]^-1 [length]^2 [mass] [time]^-3", "V"),
    "current": ("[current]", "A"),
    "charge": ("[current] [time]", "Ah"),
    "resistance": ("[current]^-2 [length]^2 [mass] [time]^-3", "Ω"),
    "sound": ("dB(A)", "dB(A)"),
    "sound-c": ("dB(C)", "dB(C)"),
    "level": ("dB", "dB"),
    "octane-ron": ("RON", "RON"),
    "octane-mon": ("MON", "MON"),
    "octane-aki": ("AKI", "AKI"),
    "hardness-shore-a": ("Shore A", "Shore A"),
    "hardness-rockwell-c": ("HRC", "HRC"),
    "hardness-rockwell-b": ("HRB", "HRB"),
    "hardness-vickers": ("HV", "HV"),
    "hardness-brinell": ("HBW", "HBW"),
}

# Names of ours that pint's registry gets as base units. A circle or a turn would bring in pi, and no exact factor.
PINT_ANGLE, PINT_ROTATION = "rulebook_degree", "rulebook_rpm"

# Factors to the SI base units; hp is 550 ft·lbf/s, PS is 75 kgf·m/s, gal is the US one. `ton` and `cal` differ between
# countries and are not known on purpose.
UNITS: tuple[UnitRow, ...] = (
    UnitRow("share", "0.01", "percent", "%|percent|per cent|Prozent|v. H.|vom Hundert"),
    UnitRow("share", "0.001", "permille", "‰"),
    UnitRow("number", "1", "dimensionless", "|:1|: 1"),
    UnitRow("length", "0.001", "millimeter", "mm|MM|millimetre|millimetres|millimeter|millimeters|Millimeter|Millimetern"),
    UnitRow("length", "0.01", "centimeter", "cm|centimetre|centimetres|centimeter|centimeters|Zentimeter|Zentimetern"),
    UnitRow("length", "1", "meter", "m|metre|metres|meter|meters|Metern"),
    UnitRow("length", "1000", "kilometer", "km|kilometre|kilometres|kilometer|kilometers|Kilometern"),
    UnitRow("length", "0.000001", "micrometer", "µm|\u03bcm|micron|microns"),
    UnitRow("length", "0.0254", "inch", "in|inch|inches|\"|″|”|''|Zoll"),
    UnitRow("length", "0.0000254", "thou", "thou"),
    UnitRow("length", "0.3048", "foot", "ft|foot|feet|'|′|’|Fuß"),
    UnitRow("length", "0.9144", "yard", "yd|yard|yards"),
    UnitRow("length", "1609.344", "mile", "mi|mile|miles|Meile|Meilen"),
    UnitRow("area", "0.000001", "millimeter**2", "mm²|mm2|mm^2|sq mm"),
    UnitRow("area", "0.0001", "centimeter**2", "cm²|cm2|cm^2|sq cm|sq. cm"),
    UnitRow("area", "1", "meter**2", "m²|m2|m^2|sq m|sq. m|square metres|square meters|Quadratmeter"),
    UnitRow("area", "0.00064516", "inch**2", "in²|in2|in^2|sq in|sq. in.|sq. in|square inch|square inches"),
    UnitRow("area", "0.09290304", "foot**2", "ft²|ft2|sq ft|sq. ft.|sq. ft|square foot|square feet"),
    UnitRow("volume", "0.001", "liter", "L|l|litre|litres|liter|liters|Litern|ltr|dm³|dm3"),
    UnitRow("volume", "0.000001", "milliliter", "ml|mL|millilitre|millilitres|milliliter|milliliters"),
    UnitRow("volume", "0.01", "0.01*meter**3", "hl"),
    # Two symbols for one unit, as both are usual: a difference is shown in the one that its text has.
    UnitRow("volume", "0.000001", "centimeter**3", "cc|CC|c.c."),
    UnitRow(
        "volume",
        "0.000001",
        "centimeter**3",
        "cm³|cm3|cm^3|ccm|cubic centimetres|cubic centimeters|Kubikzentimeter|Kubikzentimetern",
    ),
    UnitRow("volume", "0.000000001", "millimeter**3", "mm³|mm3"),
    UnitRow("volume", "1", "meter**3", "m³|m3|cubic metre|cubic metres|cubic meter|cubic meters|Kubikmeter"),
    UnitRow("volume", "0.000016387064", "inch**3", "in³|in3|ci|cid|CID|cu in|cu. in.|cu. in|cubic inch|cubic inches"),
    UnitRow("volume", "0.028316846592", "foot**3", "ft³|ft3|cu ft|cubic feet"),
    UnitRow("volume", "0.003785411784", "gallon", "gal|gallon|gallons|US gal|US gallon|US gallons|gal (US)"),
    UnitRow(
        "volume",
        "0.00454609",
        "imperial_gallon",
        "imp gal|imp. gal|imp. gal.|gal (imp)|gal (imp.)|gal (UK)|UK gal|imperial gallon|imperial gallons",
    ),
    UnitRow("volume", "0.000946352946", "quart", "qt|quart|quarts"),
    UnitRow("mass", "1", "kilogram", "kg|KG|Kg|kgs|kilogram|kilograms|kilogramme|kilogrammes|kilo|kilos|Kilogramm"),
    UnitRow("mass", "0.001", "gram", "g|gram|grams|gramme|grammes|Gramm"),
    UnitRow("mass", "1000", "metric_ton", "t|tonne|tonnes|Tonnen"),
    UnitRow("mass", "0.45359237", "pound", "lb|lbs|LB|LBS|Lbs|lb.|lbs.|pound|pounds"),
    UnitRow("mass", "0.028349523125", "ounce", "oz|ounce|ounces"),
    UnitRow("time", "1", "second", "s|sec|secs|second|seconds|Sekunde|Sekunden"),
    UnitRow("time", "0.001", "millisecond", "ms|millisecond|milliseconds"),
    UnitRow("time", "60", "minute", "min|minute|minutes|Minuten"),
    UnitRow("time", "3600", "hour", "h|hour|hours|Stunde|Stunden"),
    UnitRow("speed", "5/18", "kilometer/hour", "km/h|kph|kmh|KM/H|kilometres per hour|kilometers per hour"),
    UnitRow("speed", "0.44704", "mile/hour", "mph|MPH|mi/h|miles per hour"),
    UnitRow("speed", "1", "meter/second", "m/s"),
    UnitRow("acceleration", "1", "meter/second**2", "m/s²|m/s2|m/s^2"),
    UnitRow("force", "1", "newton", "N|newton|newtons"),
    UnitRow("force", "1000", "kilonewton", "kN|kilonewton|kilonewtons"),
    UnitRow("force", "10", "10*newton", "daN"),
    UnitRow("force", "4.4482216152605", "pound_force", "lbf|pounds-force|pounds force"),
    UnitRow("force", "9.80665", "kilogram_force", "kgf|kp"),
    UnitRow("torque", "1", "newton*meter", "Nm|N·m|N⋅m|N*m|N m|Newtonmeter|newton metres|newton meters"),
    UnitRow(
        "torque",
        "1.3558179483314004",
        "foot*pound_force",
        "lb·ft|lbf·ft|ft·lb|ft·lbf|lb⋅ft|ft⋅lb|lb-ft|ft-lb|ft-lbs|lbs-ft|lb ft|ft lb|ft lbs|lbs ft|lbf ft|ft lbf|lbft|ftlb",
    ),
    UnitRow("torque", "0.1129848290276167", "inch*pound_force", "lb·in|lbf·in|in·lb|in-lb|lb-in|in-lbs|in lb|in lbs"),
    UnitRow("torque", "9.80665", "kilogram_force*meter", "kgf·m|kgfm|kgf m|mkp|kpm"),
    UnitRow("energy", "1", "joule", "J|joule|joules"),
    UnitRow("energy", "1000", "kilojoule", "kJ|kilojoules"),
    UnitRow("energy", "1000000", "megajoule", "MJ|megajoules"),
    UnitRow("energy", "3600", "watt*hour", "Wh"),
    UnitRow("energy", "3600000", "kilowatt*hour", "kWh"),
    UnitRow("power", "1", "watt", "W|watt|watts|Watt"),
    UnitRow("power", "1000", "kilowatt", "kW|KW|kilowatt|kilowatts|Kilowatt"),
    UnitRow("power", "745.69987158227022", "horsepower", "hp|HP|bhp|BHP|Bhp|horsepower|brake horsepower"),
    UnitRow("power", "735.49875", "metric_horsepower", "PS|ps|ch|cv|hp (metric)|metric horsepower"),
    UnitRow("pressure", "100000", "bar", "bar|bars"),
    UnitRow("pressure", "100", "millibar", "mbar|hPa"),
    UnitRow("pressure", "1", "pascal", "Pa"),
    UnitRow("pressure", "1000", "kilopascal", "kPa"),
    UnitRow("pressure", "1000000", "megapascal", "MPa"),
    UnitRow("pressure", "1000000", "newton/millimeter**2", "N/mm²|N/mm2|N/mm^2"),
    UnitRow(
        "pressure", "8896443230521/1290320000", "pound_force_per_square_inch", "psi|PSI|lbf/in²|lb/in²|pounds per square inch"
    ),
    UnitRow("pressure", "101325", "standard_atmosphere", "atm"),
    UnitRow("stiffness", "1000", "newton/millimeter", "N/mm|kN/m"),
    UnitRow("stiffness", "1", "newton/meter", "N/m"),
    # A spring rate is a force per length, though the books print pounds and kilograms.
    UnitRow("stiffness", "4448.2216152605/25.4", "pound_force/inch", "lb/in|lbf/in|lbs/in|lb/inch|lbs/inch|lb/in."),
    UnitRow("stiffness", "9806.65", "kilogram_force/millimeter", "kgf/mm"),
    UnitRow("torsional-stiffness", "1", f"newton*meter/{PINT_ANGLE}", "Nm/deg|Nm/°|N·m/deg|N·m/°|Nm/Grad"),
    UnitRow("density", "1000", "kilogram/liter", "kg/l|kg/L|kg/dm³|g/cm³|g/cm3|g/cc|g/ml"),
    UnitRow("density", "1", "kilogram/meter**3", "kg/m³|kg/m3"),
    UnitRow("density", "1000000", "kilogram/centimeter**3", "kg/cc|kg/cm³|kg/cm3|kg/ccm"),
    UnitRow("density", "453592.37", "pound/centimeter**3", "lb/cc|lbs/cc"),
    UnitRow("density", "0.45359237/0.000016387064", "pound/inch**3", "lb/in³|lb/ci|lbs/ci"),
    UnitRow("weight-to-power", "0.001", "kilogram/kilowatt", "kg/kW|kg/KW"),
    UnitRow("weight-to-power", "1/735.49875", "kilogram/metric_horsepower", "kg/PS|kg/ps|kg/ch|kg/cv"),
    UnitRow("weight-to-power", "1/745.69987158227022", "kilogram/horsepower", "kg/hp|kg/bhp|kg/HP"),
    UnitRow("weight-to-power", "0.45359237/745.69987158227022", "pound/horsepower", "lb/hp|lbs/hp|lb/bhp|lbs/bhp|lb/HP"),
    UnitRow("power-to-weight", "1000", "kilowatt/kilogram", "kW/kg"),
    UnitRow("power-to-weight", "1", "watt/kilogram", "W/kg|kW/t"),
    UnitRow("power-to-weight", "0.74569987158227022", "horsepower/metric_ton", "hp/t|bhp/t|hp/tonne|bhp/tonne"),
    UnitRow("power-to-weight", "0.73549875", "metric_horsepower/metric_ton", "PS/t"),
    UnitRow("temperature", "1", "kelvin", "K|kelvin"),
    UnitRow(
        "temperature",
        "1",
        "degree_Celsius",
        "°C|℃|° C|deg C|degC|degrees C|degree C|degrees Celsius|degrees centigrade|Grad Celsius",
        "273.15",
    ),
    UnitRow("temperature", "5/9", "degree_Fahrenheit", "°F|° F|deg F|degF|degrees F|degrees Fahrenheit", "45967/180"),
    UnitRow("angle", "1", PINT_ANGLE, "°|deg|deg.|degree|degrees|Grad"),
    UnitRow("angle", "1/60", f"{PINT_ANGLE}/60", "arcmin|minutes of arc|Winkelminuten"),
    UnitRow("rotation", "1", PINT_ROTATION, "rpm|RPM|r/min|rev/min|1/min|min⁻¹|min-1|U/min|r.p.m.|revolutions per minute"),
    UnitRow("frequency", "1", "hertz", "Hz"),
    UnitRow("frequency", "1000", "kilohertz", "kHz"),
    UnitRow("frequency", "1000000", "megahertz", "MHz"),
    UnitRow("frequency", "1000000000", "gigahertz", "GHz"),
    UnitRow("voltage", "1", "volt", "V|volt|volts|Volt"),
    UnitRow("voltage", "0.001", "millivolt", "mV"),
    UnitRow("current", "1", "ampere", "A|amp|amps|ampere|amperes|Ampere"),
    UnitRow("current", "0.001", "milliampere", "mA"),
    UnitRow("charge", "3600", "ampere*hour", "Ah|A·h|amp hours|ampere hours"),
    UnitRow("resistance", "1", "ohm", "Ω|\u2126|ohm|ohms|Ohm"),
    UnitRow("resistance", "1000", "kiloohm", "kΩ|k\u2126"),
    UnitRow("sound", "1", "", "dB(A)|dBA|dB (A)|dB A|db(A)|db(a)|dBa|decibels (A)"),
    UnitRow("sound-c", "1", "", "dB(C)|dBC"),
    UnitRow("level", "1", "", "dB|decibel|decibels|Dezibel"),
    UnitRow("octane-ron", "1", "", "RON|ROZ"),
    UnitRow("octane-mon", "1", "", "MON|MOZ"),
    UnitRow("octane-aki", "1", "", "AKI"),
    UnitRow("hardness-shore-a", "1", "", "Shore A|Shore-A|ShA"),
    UnitRow("hardness-rockwell-c", "1", "", "HRC"),
    UnitRow("hardness-rockwell-b", "1", "", "HRB"),
    UnitRow("hardness-vickers", "1", "", "HV"),
    UnitRow("hardness-brinell", "1", "", "HBW|HB"),
)

# Scales that are also written in front of the number: RON 102.
PREFIXES = ("RON", "ROZ", "MON", "MOZ", "AKI", "HRC", "HRB", "HV", "HBW", "Shore A")
