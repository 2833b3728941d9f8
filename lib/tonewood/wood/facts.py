"""The tables of wood facts: read once, checked whole, every number with its source and status.

One row is one fact. Status words: `published` (a source was read), `estimated` (a stated rule or model),
`common practice` (the trade's, no source), `from memory` (remembered, not read: unverified). Nothing here
fills gaps; that is wood.filling.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from tonewood import checks
from tonewood.draws import Z90
from tonewood.remember import remember
from tonewood.schema import USES
from tonewood.tables import Row, read_table

MEASURED = "measured"
"""Status of what a builder has read of an own wood or board; no table of the project holds it."""
OWN = "own"
"""Source of such a number."""


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
    """A stated rule or general value used to fill gaps: value, scatter between the woods it was taken from
    and how many they were, range (None when not stated), source, status."""

    name: str
    value: float
    sd: float | None
    count: float | None
    low: float | None
    high: float | None
    unit: str
    source: str
    place: str
    status: str
    note: str

    @cached_property
    def scatter(self) -> float:
        """How far one more wood may lie from the value, as a coefficient of variation whose 90 % band really
        holds 90 %: few woods tell neither the mean nor the scatter well. 0 where no scatter is stated."""
        return (self.sd or 0.0) / abs(self.value) * (few_samples(self.count) if self.count else 1.0)

    @property
    def limits(self) -> tuple[float, float]:
        """(low, high) of the value, in its unit. Raises ValueError where none are stated."""
        if self.low is None or self.high is None:
            raise ValueError(f"rule: {self.name!r} states no low and high")
        return self.low, self.high


def few_samples(count: float) -> float:
    """By how much to widen a standard deviation taken from `count` values (2 or more), so that the band from
    5 to 95 % of a normal with it holds the next value nine times of ten. Raises ValueError.

    Source: prediction interval of a normal sample, t sqrt(1 + 1/n) over the normal's own 1.645; Student's t
    by the expansion of Abramowitz and Stegun 26.7.5 (0.1 % off from 5 values on, 5 % from 3).
    >>> [round(few_samples(n), 2) for n in (5, 13, 1000)]
    [1.42, 1.12, 1.0]
    """
    free, z = checks.number("number of values", count, 2.0) - 1, Z90
    terms = (z, (z**3 + z) / 4, (5 * z**5 + 16 * z**3 + 3 * z) / 96,
             (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384,
             (79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z) / 92160)
    t = sum(term / free**power for power, term in enumerate(terms))
    return float(t / z * (1 + 1 / count) ** 0.5)


@dataclass(frozen=True)
class Caution:
    """A warning about one wood (or all): kind is dust, contact, working or trade; read: year and month in
    which the source was read ("" for what is remembered or common practice)."""

    kind: str
    statement: str
    source: str
    status: str
    read: str = ""

    def told(self) -> str:
        """The statement with how sure it is, and for trade when it was read: lists change.
        >>> Caution("trade", "CITES Appendix II.", "cites-lists", "published", "2026-11").told()
        'CITES Appendix II. (as read 2026-11; check cites.org)'
        """
        remarks = [self.status] if self.status != "published" else []
        if self.kind == "trade":
            where = "the IUCN list" if self.statement.startswith("IUCN") else "cites.org"
            remarks += [f"as read {self.read}" if self.read else "not read", f"check {where}"]
        return f"{self.statement} ({'; '.join(remarks)})" if remarks else self.statement


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


def _read_species(folder: str | None) -> tuple[Row, ...]:
    rows = read_table("species.csv", folder=folder)
    for row in rows:
        for column in ("uses", "synonyms"):
            row[column] = tuple(part for part in map(str.strip, row[column].split(";")) if part)
        for use in set(row["uses"]) - set(USES):
            raise row.fault("uses", ", ".join(USES), use)
    return tuple(rows)


def _read_properties(folder: str | None, keys: Iterable[str]
                     ) -> tuple[dict[str, dict[str, Fact]], dict[str, dict[str, tuple[Fact, ...]]]]:
    facts: dict[str, dict[str, Fact]] = {key: {} for key in keys}
    alternatives: dict[str, dict[str, tuple[Fact, ...]]] = {key: {} for key in keys}
    for row in read_table("properties.csv", folder=folder):
        species, name, use = row.pop("species"), row["property"], row.pop("use")
        if use == "alternative":
            alternatives[species][name] = (*alternatives[species].get(name, ()), Fact(**row))
        elif name in facts[species]:
            raise row.fault("property",
                            "one main row for each species and property (others: use 'alternative')")
        else:
            facts[species][name] = Fact(**row)
    return facts, alternatives


def _read_cautions(folder: str | None, keys: Iterable[str]) -> dict[str, tuple[Caution, ...]]:
    cautions: dict[str, tuple[Caution, ...]] = {key: () for key in (*keys, "all")}
    for row in read_table("cautions.csv", folder=folder):
        cautions[row.pop("species")] += (Caution(**row),)
    return cautions


def load(folder: str | None = None) -> Tables:
    """Read and check all wood tables once. folder: another folder of tables, or None for the project's own.

    Raises ValueError naming file, line and column at the first fault.
    >>> load().facts["hard_maple"]["density"].value
    706.0
    """
    return _load(folder)


@remember(8)
def _load(folder: str | None) -> Tables:
    sources = {row["key"]: row for row in read_table("sources.csv", folder=folder)}
    rows = _read_species(folder)
    keys = [row["key"] for row in rows]
    rules = {row["rule"]: Rule(name=row.pop("rule"), **row) for row in read_table("rules.csv", folder=folder)}
    facts, alternatives = _read_properties(folder, keys)
    return Tables(rows, facts, alternatives, rules, _read_cautions(folder, keys), sources)


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
    if source == OWN:
        return "Own readings: measured on the builder's own wood."
    sources = load().sources
    return sources[checks.choice("source", source, sources)]["citation"]


def general_cautions() -> tuple[Caution, ...]:
    """Cautions (kind, text, source) that hold for every wood.
    >>> general_cautions()[0].kind
    'dust'
    """
    return load().cautions["all"]


def protected(key: str, threatened: bool = False) -> bool:
    """Whether a wood stands in an appendix of CITES by the cautions here (its papers must then be in order);
    threatened: or is called Vulnerable or Endangered by IUCN. Lists change, and a wood that is absent here
    may stand in them. A key without cautions, as that of an own wood, counts as free.
    >>> protected("indian_rosewood"), protected("wenge"), protected("wenge", threatened=True)
    (True, False, True)
    """
    told = [c.statement for c in load().cautions.get(key, ()) if c.kind == "trade"]
    return any("Appendix I" in s or threatened and s.startswith("IUCN")
               and ("Vulnerable" in s or "ndangered" in s) for s in told)
