"""The tables of wood facts: read once, checked whole, every number with its source and status.

One row is one fact. Status words: `published` (a source was read), `estimated` (a stated rule or model),
`common practice` (the trade's, no source), `from memory` (remembered, not read: unverified). Nothing here
fills gaps; that is wood.filling.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from tonewood import checks
from tonewood.tables import Row, read_table

STATUSES = ("published", "estimated", "common practice", "from memory")
GROUPS = ("hardwood", "softwood")
USES = ("neck", "fretboard", "body")
LOSS_CLASSES = ("ordinary", "tropical", "extractive-rich")
CAUTION_KINDS = ("dust", "contact", "trade")

# Unit and believable range of each property: a slip of the pen is caught when the table is read.
PROPERTIES = {
    "specific_gravity": ("1", 0.1, 1.4), "specific_gravity_green": ("1", 0.1, 1.2),
    "density": ("kg/m3", 100, 1400), "bending_modulus": ("GPa", 2, 35),
    "bending_modulus_green": ("GPa", 2, 30), "bending_strength": ("MPa", 15, 300),
    "bending_strength_green": ("MPa", 10, 200), "compression_parallel": ("MPa", 8, 150),
    "shear_parallel": ("MPa", 1, 40), "side_hardness": ("N", 300, 25000), "shrinkage_radial": ("%", 1, 12),
    "shrinkage_tangential": ("%", 2, 16), "shrinkage_volumetric": ("%", 4, 25),
    "movement_radial": ("1/%", 5e-4, 5e-3), "movement_tangential": ("1/%", 5e-4, 6e-3),
    "E_R_ratio": ("1", 0.02, 0.3), "E_T_ratio": ("1", 0.01, 0.2), "G_LR_ratio": ("1", 0.02, 0.3),
    "G_LT_ratio": ("1", 0.02, 0.3), "G_RT_ratio": ("1", 0.001, 0.1), "nu_LR": ("1", 0.1, 1),
    "nu_LT": ("1", 0.1, 1), "nu_RT": ("1", 0.1, 1.2), "nu_TR": ("1", 0.1, 1), "nu_RL": ("1", 0.001, 0.3),
    "nu_TL": ("1", 0.001, 0.3), "fibre_saturation": ("%", 15, 40), "intersection_moisture": ("%", 15, 35),
    "loss_factor": ("1", 0.001, 0.1), "cov_modulus": ("1", 0.01, 0.6), "cov_density": ("1", 0.01, 0.4),
}


@dataclass(frozen=True, kw_only=True)
class Fact:
    """One number about one wood: value in `unit`, coefficient of variation (fraction or None), where it comes
    from and how sure it is."""

    property: str
    value: float
    unit: str
    cov: float | None = None
    source: str
    place: str
    status: str
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Rule:
    """A stated rule or general value used to fill gaps: value, scatter and range (None when not stated),
    source, status."""

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

    @property
    def limits(self) -> tuple[float, float]:
        """(low, high) of the value, in its unit. Raises ValueError where none are stated."""
        if self.low is None or self.high is None:
            raise ValueError(f"rule: {self.name!r} states no low and high")
        return self.low, self.high


@dataclass(frozen=True)
class Caution:
    """A warning about one wood (or all): kind is dust, contact or trade."""

    kind: str
    statement: str
    source: str
    status: str


@dataclass(frozen=True)
class Tables:
    """All wood tables, checked: species rows, facts and alternatives by species key, rules, cautions by
    species key (and "all"), sources by key."""

    species: tuple[Row, ...]
    facts: dict[str, dict[str, Fact]]
    alternatives: dict[str, dict[str, tuple[Fact, ...]]]
    rules: dict[str, Rule]
    cautions: dict[str, tuple[Caution, ...]]
    sources: dict[str, Row]


def _read_sources(folder: str | None) -> dict[str, Row]:
    text = dict.fromkeys(("key", "citation", "kind", "rights"), str)
    return {row["key"]: row for row in read_table("sources.csv", text, text, folder, ("key",))}


def _check_source(row: Row, sources: dict[str, Row]) -> None:
    if row["source"] not in sources:
        raise row.fault("source", "a key of sources.csv")
    if (row["status"] == "from memory") != (row["source"] == "memory"):
        raise row.fault("status", "'from memory' exactly where the source is 'memory'")


def _read_species(folder: str | None) -> tuple[Row, ...]:
    columns = dict(key=str, name=str, botanical=str, group=GROUPS, uses=str, synonyms=str,
                   loss_class=LOSS_CLASSES)
    rows = read_table("species.csv", columns, columns.keys() - {"synonyms"}, folder, ("key",))
    for row in rows:
        for column in ("uses", "synonyms"):
            row[column] = tuple(part for part in map(str.strip, row[column].split(";")) if part)
        for use in set(row["uses"]) - set(USES):
            raise row.fault("uses", ", ".join(USES), use)
    return tuple(rows)


def _read_properties(folder: str | None, keys: Iterable[str], sources: dict[str, Row]
                     ) -> tuple[dict[str, dict[str, Fact]], dict[str, dict[str, tuple[Fact, ...]]]]:
    columns = dict(species=tuple(keys), property=tuple(PROPERTIES), use=("main", "alternative"), value=float,
                   unit=str,
                   cov=float, source=str, place=str, status=STATUSES, note=str)
    facts: dict[str, dict[str, Fact]] = {key: {} for key in keys}
    alternatives: dict[str, dict[str, tuple[Fact, ...]]] = {key: {} for key in keys}
    for row in read_table("properties.csv", columns, columns.keys() - {"cov", "note"}, folder):
        unit, low, high = PROPERTIES[row["property"]]
        if row["unit"] != unit:
            raise row.fault("unit", unit)
        if not low <= row["value"] <= high:
            shown = "" if unit == "1" else f" {unit}"
            raise row.fault("value", f"{low:g} to {high:g}{shown}; is a unit or a decimal point wrong?")
        if row["cov"] is not None and not 0 < row["cov"] < 1:
            raise row.fault("cov", "a fraction above 0 and below 1")
        _check_source(row, sources)
        species, name, use = row.pop("species"), row["property"], row.pop("use")
        if use == "alternative":
            alternatives[species][name] = (*alternatives[species].get(name, ()), Fact(**row))
        elif name in facts[species]:
            raise row.fault("property",
                            "one main row for each species and property (others: use 'alternative')")
        else:
            facts[species][name] = Fact(**row)
    return facts, alternatives


def _read_rules(folder: str | None, sources: dict[str, Row]) -> dict[str, Rule]:
    columns = dict(rule=str, value=float, sd=float, low=float, high=float, unit=str, source=str, place=str,
                   status=STATUSES, note=str)
    rows = read_table("rules.csv", columns, ("rule", "value", "unit", "source", "place", "status"), folder,
                      ("rule",))
    for row in rows:
        _check_source(row, sources)
    return {(name := row.pop("rule")): Rule(name=name, **row) for row in rows}


def _read_cautions(folder: str | None, keys: Iterable[str],
                   sources: dict[str, Row]) -> dict[str, tuple[Caution, ...]]:
    cautions: dict[str, tuple[Caution, ...]] = {key: () for key in (*keys, "all")}
    columns = dict(species=tuple(cautions), kind=CAUTION_KINDS, statement=str, source=str, status=STATUSES)
    for row in read_table("cautions.csv", columns, columns, folder):
        _check_source(row, sources)
        cautions[row.pop("species")] += (Caution(**row),)
    return cautions


@lru_cache(maxsize=8)
def load(folder: str | None = None) -> Tables:
    """Read and check all wood tables once. folder: another folder of tables, or None for the project's own.

    Raises ValueError naming file, line and column at the first fault.
    >>> load().facts["hard_maple"]["density"].value
    706.0
    """
    sources = _read_sources(folder)
    rows = _read_species(folder)
    keys = [row["key"] for row in rows]
    facts, alternatives = _read_properties(folder, keys, sources)
    return Tables(rows, facts, alternatives, _read_rules(folder, sources),
                  _read_cautions(folder, keys, sources), sources)


def rule(name: str, folder: str | None = None) -> Rule:
    """The stated rule `name` (see data/rules.csv). Raises ValueError for an unknown name.
    >>> rule("longitudinal_modulus").value, rule("longitudinal_modulus").status
    (1.1, 'published')
    """
    rules = load(folder).rules
    return rules.get(name) or rules[checks.choice("rule", name, rules)]


def citation(source: str) -> str:
    """Full citation of a source key. Raises ValueError for an unknown key.
    >>> citation("memory")
    'From memory, unverified: no source was read for this number.'
    """
    sources = load().sources
    return sources[checks.choice("source", source, sources)]["citation"]


def general_cautions() -> tuple[Caution, ...]:
    """Cautions (kind, text, source) that hold for every wood.
    >>> {caution.kind for caution in general_cautions()} <= set(CAUTION_KINDS)
    True
    """
    return load().cautions["all"]
