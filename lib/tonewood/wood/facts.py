"""The tables of wood facts: read once, checked whole, every number with its source and status.

One row is one fact. Status words: `published` (a source was read), `estimated` (a stated rule or model), `common practice` (the trade's, no
source), `from memory` (remembered, not read: unverified). Nothing here fills gaps; that is wood.filling.
"""

from dataclasses import dataclass
from functools import lru_cache

from tonewood.tables import read_table

STATUSES = ("published", "estimated", "common practice", "from memory")
GROUPS = ("hardwood", "softwood")
USES = ("neck", "fretboard", "body")
LOSS_CLASSES = ("ordinary", "tropical", "extractive-rich")
CAUTION_KINDS = ("dust", "contact", "trade")

# Unit and believable range of each property: a slip of the pen is caught when the table is read.
PROPERTIES = {
    "specific_gravity": ("1", 0.1, 1.4), "specific_gravity_green": ("1", 0.1, 1.2), "density": ("kg/m3", 100, 1400),
    "bending_modulus": ("GPa", 2, 35), "bending_modulus_green": ("GPa", 2, 30), "bending_strength": ("MPa", 15, 300),
    "bending_strength_green": ("MPa", 10, 200), "compression_parallel": ("MPa", 8, 150), "shear_parallel": ("MPa", 1, 40),
    "side_hardness": ("N", 300, 25000), "shrinkage_radial": ("%", 1, 12), "shrinkage_tangential": ("%", 2, 16),
    "shrinkage_volumetric": ("%", 4, 25), "movement_radial": ("1/%", 5e-4, 5e-3), "movement_tangential": ("1/%", 5e-4, 6e-3),
    "E_R_ratio": ("1", 0.02, 0.3), "E_T_ratio": ("1", 0.01, 0.2), "G_LR_ratio": ("1", 0.02, 0.3), "G_LT_ratio": ("1", 0.02, 0.3),
    "G_RT_ratio": ("1", 0.001, 0.1), "nu_LR": ("1", 0.1, 1), "nu_LT": ("1", 0.1, 1), "nu_RT": ("1", 0.1, 1.2), "nu_TR": ("1", 0.1, 1),
    "nu_RL": ("1", 0.001, 0.3), "nu_TL": ("1", 0.001, 0.3), "fibre_saturation": ("%", 15, 40), "intersection_moisture": ("%", 15, 35),
    "loss_factor": ("1", 0.001, 0.1), "cov_modulus": ("1", 0.01, 0.6), "cov_density": ("1", 0.01, 0.4),
}


@dataclass(frozen=True)
class Fact:
    """One number about one wood: value in `unit`, coefficient of variation (fraction or None), where it comes from and how sure it is."""

    property: str
    value: float
    unit: str
    cov: float | None
    source: str
    place: str
    status: str
    note: str = ""


@dataclass(frozen=True)
class Rule:
    """A stated rule or general value used to fill gaps: value, scatter and range (None when not stated), source and status."""

    name: str
    value: float
    sd: float | None
    low: float | None
    high: float | None
    unit: str
    source: str
    place: str
    status: str
    note: str


@dataclass(frozen=True)
class Caution:
    """A warning about one wood (or all): kind is dust, contact or trade."""

    kind: str
    statement: str
    source: str
    status: str


@dataclass(frozen=True)
class Tables:
    """All wood tables, checked: species rows, facts and alternatives by species key, rules, cautions by species key, sources by key."""

    species: tuple
    facts: dict
    alternatives: dict
    rules: dict
    cautions: dict
    sources: dict


def _fail(filename, row, label, column, value, accepted):
    raise ValueError(f"{filename}, row {row} ({label}), column {column!r}: {value!r} given; accepted: {accepted}")


def _check_common(filename, row, label, entry, sources):
    if entry["status"] not in STATUSES:
        _fail(filename, row, label, "status", entry["status"], ", ".join(STATUSES))
    if entry["source"] not in sources:
        _fail(filename, row, label, "source", entry["source"], "a key of sources.csv")
    if (entry["status"] == "from memory") != (entry["source"] == "memory"):
        _fail(filename, row, label, "status", entry["status"], "'from memory' exactly where the source is 'memory'")


def _read_sources(folder):
    text = dict.fromkeys(("key", "citation", "kind", "rights"), str)
    sources = {}
    for row, entry in enumerate(read_table("sources.csv", text, tuple(text), folder), 1):
        if entry["key"] in sources:
            _fail("sources.csv", row, entry["key"], "key", entry["key"], "each key once")
        sources[entry["key"]] = entry
    return sources


def _read_species(folder):
    text = dict.fromkeys(("key", "name", "botanical", "group", "uses", "synonyms", "loss_class"), str)
    rows = read_table("species.csv", text, ("key", "name", "botanical", "group", "uses", "loss_class"), folder)
    seen = set()
    for row, entry in enumerate(rows, 1):
        entry["uses"] = tuple(part.strip() for part in entry["uses"].split(";"))
        entry["synonyms"] = tuple(part.strip() for part in entry["synonyms"].split(";") if part.strip())
        for column, options in (("group", GROUPS), ("loss_class", LOSS_CLASSES)):
            if entry[column] not in options:
                _fail("species.csv", row, entry["key"], column, entry[column], ", ".join(options))
        for use in entry["uses"]:
            if use not in USES:
                _fail("species.csv", row, entry["key"], "uses", use, ", ".join(USES))
        if entry["key"] in seen:
            _fail("species.csv", row, entry["key"], "key", entry["key"], "each key once")
        seen.add(entry["key"])
    return tuple(rows)


def _read_properties(folder, keys, sources):
    columns = dict(species=str, property=str, use=str, value=float, unit=str, cov=float, source=str, place=str, status=str, note=str)
    facts, alternatives = {key: {} for key in keys}, {key: {} for key in keys}
    required = ("species", "property", "use", "value", "unit", "source", "place", "status")
    for row, entry in enumerate(read_table("properties.csv", columns, required, folder), 1):
        species, name, value = entry["species"], entry["property"], entry["value"]
        label = f"{species} {name}"
        if species not in facts:
            _fail("properties.csv", row, label, "species", species, "a key of species.csv")
        if name not in PROPERTIES:
            _fail("properties.csv", row, label, "property", name, ", ".join(PROPERTIES))
        unit, low, high = PROPERTIES[name]
        if entry["unit"] != unit:
            _fail("properties.csv", row, label, "unit", entry["unit"], unit)
        if value <= 0:
            _fail("properties.csv", row, label, "value", value, f"a positive number of {unit}")
        if not low <= value <= high:
            _fail("properties.csv", row, label, "value", value, f"{low:g} to {high:g} {unit}; is a unit or a decimal point wrong?")
        if entry["cov"] is not None and not 0 < entry["cov"] < 1:
            _fail("properties.csv", row, label, "cov", entry["cov"], "a fraction above 0 and below 1")
        _check_common("properties.csv", row, label, entry, sources)
        fact = Fact(name, value, unit, entry["cov"], entry["source"], entry["place"], entry["status"], entry["note"])
        if entry["use"] == "main":
            if name in facts[species]:
                _fail("properties.csv", row, label, "property", name, "one main row for each species and property (others: use 'alternative')")
            facts[species][name] = fact
        elif entry["use"] == "alternative":
            alternatives[species][name] = alternatives[species].get(name, ()) + (fact,)
        else:
            _fail("properties.csv", row, label, "use", entry["use"], "main, alternative")
    return facts, alternatives


def _read_rules(folder, sources):
    columns = dict(rule=str, value=float, sd=float, low=float, high=float, unit=str, source=str, place=str, status=str, note=str)
    rules = {}
    for row, entry in enumerate(read_table("rules.csv", columns, ("rule", "value", "unit", "source", "place", "status"), folder), 1):
        _check_common("rules.csv", row, entry["rule"], entry, sources)
        if entry["rule"] in rules:
            _fail("rules.csv", row, entry["rule"], "rule", entry["rule"], "each rule once")
        name = entry.pop("rule")
        rules[name] = Rule(name, **entry)
    return rules


def _read_cautions(folder, keys, sources):
    text = dict.fromkeys(("species", "kind", "statement", "source", "status"), str)
    cautions = {key: () for key in (*keys, "all")}
    for row, entry in enumerate(read_table("cautions.csv", text, tuple(text), folder), 1):
        species = entry.pop("species")
        if species not in cautions:
            _fail("cautions.csv", row, species, "species", species, "a key of species.csv, or all")
        if entry["kind"] not in CAUTION_KINDS:
            _fail("cautions.csv", row, species, "kind", entry["kind"], ", ".join(CAUTION_KINDS))
        _check_common("cautions.csv", row, species, entry, sources)
        cautions[species] += (Caution(**entry),)
    return cautions


@lru_cache(maxsize=8)
def load(folder=None):
    """Read and check all wood tables once. folder: another folder of tables (str), or None for the project's own. Returns Tables.

    Raises ValueError naming file, row and column at the first fault.
    """
    sources = _read_sources(folder)
    rows = _read_species(folder)
    keys = [row["key"] for row in rows]
    facts, alternatives = _read_properties(folder, keys, sources)
    return Tables(rows, facts, alternatives, _read_rules(folder, sources), _read_cautions(folder, keys, sources), sources)


def rule(name, folder=None):
    """The stated rule `name` (see data/rules.csv). Returns Rule; raises ValueError for an unknown name."""
    rules = load(folder).rules
    if name not in rules:
        raise ValueError(f"rule: {name!r} given; accepted: {', '.join(rules)}")
    return rules[name]


def citation(source):
    """Full citation of a source key. Raises ValueError for an unknown key."""
    sources = load().sources
    if source not in sources:
        raise ValueError(f"source: {source!r} given; accepted: {', '.join(sources)}")
    return sources[source]["citation"]


def general_cautions():
    """Cautions that hold for every wood, a tuple of Caution."""
    return load().cautions["all"]
