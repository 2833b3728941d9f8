"""A wood by name: published facts with their sources, gaps filled by stated rules and marked; own woods of
the builder (wood.own) beside them once they are made known."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cached_property
from statistics import fmean, pstdev
from typing import TYPE_CHECKING

from tonewood.remember import remember
from tonewood.wood.elastic import MODULI, POISSON, Elastic
from tonewood.wood.facts import OWN, Caution, Fact, citation, load, rule
from tonewood.wood.filling import complete
from tonewood.wood.loss import NOTE, Loss

if TYPE_CHECKING:
    import pandas


@dataclass(frozen=True, eq=False, kw_only=True)
class Species:
    """One wood at 12 % moisture. Build with species(name), not by hand.

    key, name, botanical; group 'hardwood' or 'softwood'; uses: some of 'neck', 'fretboard', 'body' (common
    practice); synonyms; loss_class. facts: {property: Fact}, gaps filled; alternatives: {property: (Fact,
    ...)} from further sources that disagree or add; cautions: (Caution, ...) for this wood, beside the
    general ones. An own wood or board is an OwnSpecies (wood.own).
    """

    key: str
    name: str
    botanical: str
    group: str
    uses: tuple[str, ...]
    synonyms: tuple[str, ...]
    loss_class: str
    facts: dict[str, Fact] = field(repr=False)
    alternatives: dict[str, tuple[Fact, ...]] = field(repr=False)
    cautions: tuple[Caution, ...] = field(repr=False)

    def fact(self, name: str) -> Fact:
        """The Fact of a property, by name. Raises ValueError that lists the properties this wood has.
        >>> species("wenge").fact("density").status
        'published'
        """
        if name not in self.facts:
            near = get_close_matches(str(name), self.facts, 1, 0.5)
            hint = f". Did you mean {near[0]!r}?" if near else ""
            raise ValueError(f"{self.name}: no property {name!r}; it has {', '.join(self.facts)}{hint}")
        return self.facts[name]

    def status(self, name: str) -> str:
        """How sure a property is, by name: 'measured' (by the builder), 'published', 'estimated', 'common
        practice' or 'from memory'."""
        return self.fact(name).status

    def _value(self, name: str) -> float:
        return self.fact(name).value

    @property
    def density(self) -> float:
        """Density at 12 % moisture, kg/m3."""
        return self._value("density")

    @property
    def modulus(self) -> float:
        """Young's modulus along the grain E_L, Pa: a multiple of the bending modulus (Wood Handbook rule,
        `estimated`)."""
        return 1e9 * self._value("modulus")

    @cached_property
    def elastic(self) -> Elastic:
        """The nine elastic constants at 12 % moisture (Elastic, Pa): E_L times the ratios of the wood, or of
        its group where it has none."""
        moduli = {n: self.modulus * self._value(f"{n}_ratio") for n in MODULI}
        return Elastic(E_L=self.modulus, **moduli, **{n: self._value(n) for n in POISSON})

    @cached_property
    def swelling(self) -> tuple[float, float, float]:
        """(C_L, C_R, C_T): strain per unit moisture fraction (0.353 means 0.353 % per 1 % moisture)."""
        ways = ("longitudinal", "radial", "tangential")
        along, radial, tangential = (100 * self._value(f"movement_{way}") for way in ways)
        return along, radial, tangential

    @property
    def longitudinal_range(self) -> tuple[float, float]:
        """Low and high C_L per unit moisture fraction, from the printed range green to ovendry; as wide about
        a value of the wood's own."""
        low, high = rule("shrinkage_longitudinal").limits
        size = rule("fibre_saturation").value
        if self.fact("movement_longitudinal").source != "derived":
            size = rule("shrinkage_longitudinal").value / self.swelling[0]
        return low / size, high / size

    @property
    def shrinkage(self) -> tuple[float, float]:
        """(radial, tangential) shrinkage from green to ovendry, fractions of the green size."""
        return self._value("shrinkage_radial") / 100, self._value("shrinkage_tangential") / 100

    @cached_property
    def loss(self) -> Loss:
        """Loss factor along the grain with its 90 % band: measured where published, else the relation of
        wood.loss."""
        fact = self.fact("loss_factor")
        kind = "measured" if fact.source not in ("derived", "memory") else self.loss_class
        return Loss(fact.value, rule(f"loss_{kind}_band").value, fact.status, f"{fact.note}. {NOTE}")

    @property
    def green_ratio(self) -> float:
        """Bending modulus at 12 % moisture over green."""
        return self._value("green_ratio")

    @property
    def mp(self) -> float:
        """Moisture fraction at which drying begins to stiffen the wood (M_p of Handbook Eq. 5-3)."""
        return self._value("intersection_moisture") / 100

    @property
    def fibre_saturation(self) -> float:
        """Moisture fraction above which the wood no longer swells."""
        return self._value("fibre_saturation") / 100

    @property
    def cov_modulus(self) -> float:
        """Coefficient of variation of the modulus between boards of this wood."""
        return self._value("cov_modulus")

    @property
    def cov_density(self) -> float:
        """Coefficient of variation of the density between boards of this wood."""
        return self._value("cov_density")

    @property
    def cov_swelling(self) -> float:
        """Coefficient of variation of the cross-grain swelling between boards of this wood."""
        return self._value("cov_swelling")

    @property
    def one_board(self) -> bool:
        """Is this a single measured board, whose scatter is what its readings leave open?"""
        return False

    @property
    def correlation(self) -> float:
        """Correlation of density and modulus between boards of this wood, or of what is left open of one."""
        own = self.facts.get("correlation_density_modulus")
        return own.value if own else rule("correlation_density_modulus").value

    @property
    def cov_movement_rule(self) -> float:
        """How far off the rules may be that foretell cross-grain movement (from shrinkage, that from
        density): a coefficient of variation that all boards of the wood share; 0 where it was read."""
        return max(self.fact(f"movement_{way}").cov or 0.0 for way in ("radial", "tangential"))

    def _modulus_readings(self) -> list[float]:
        """Bending moduli (GPa), one for each source that was read: a mean and its test sets, or two copies of
        a page, count once."""
        of: dict[str, list[float]] = {}
        for fact in (self.fact("bending_modulus"), *self.alternatives.get("bending_modulus", ())):
            if fact.status != "from memory" or not of:
                of.setdefault(origin(fact), []).append(fact.value)
        return [fmean(values) for values in of.values()]

    @property
    def modulus_band(self) -> tuple[float, float]:
        """Lowest and highest E_L (Pa) among the sources read; one rule's scatter either way if none measured
        it."""
        readings = [self._value("bending_modulus"), *self._modulus_readings()]
        if self.fact("bending_modulus").source == "derived":
            scatter = self.cov_modulus_sources
            readings = [readings[0] * (1 - scatter), readings[0] * (1 + scatter), *readings[1:]]
        lift = 1e9 * rule("longitudinal_modulus").value
        return lift * min(readings), lift * max(readings)

    @cached_property
    def cov_modulus_sources(self) -> float:
        """How far the sources disagree on the mean modulus: their standard deviation over their mean (0 with
        one source), or the scatter of the rule that filled it. Shared by all boards of the wood, unlike
        cov_modulus."""
        if self.one_board and "cov_modulus" in self.facts and self.fact("cov_modulus").source == OWN:
            return 0.0                                  # its own scatter holds all that is left open
        if self.fact("bending_modulus").source in ("derived", "memory"):
            if "bending_modulus_green" in self.facts:
                return rule(f"{self.group}_green_ratio").scatter
            return rule("modulus_from_density_residual").value
        readings = self._modulus_readings()
        return pstdev(readings) / fmean(readings)

    def table(self) -> pandas.DataFrame:
        """DataFrame of every fact, main first, then alternatives: value, unit, cov, status, source
        (citation), place, note.
        >>> sorted(set(species("wenge").table()["use"]))
        ['alternative', 'main']
        """
        import pandas as pd

        rows = [(fact, "main") for fact in self.facts.values()]
        rows += [(fact, "alternative") for facts in self.alternatives.values() for fact in facts]
        return pd.DataFrame([{"property": f.property, "use": use, "value": f.value, "unit": f.unit,
                              "cov": f.cov, "status": f.status, "source": citation(f.source),
                              "place": f.place, "note": f.note} for f, use in rows]).set_index("property")


def origin(fact: Fact) -> str:
    """What a fact goes back to: its source, and the lot in a report whose lots were tested apart. A grower's
    page repeats the data page it was copied from.
    >>> origin(species("wenge").fact("bending_modulus"))
    'wood-database'
    """
    if fact.source == "bre-br241":
        return f"{fact.source}, {fact.place}"
    return "wood-database" if fact.source == "grower-page" else fact.source


def _plain(text: str) -> str:
    """A name as it is compared: lower case, accents and everything but letters and digits dropped."""
    text = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]", "", text.lower())


@remember(8)
def _catalogue(folder: str | None = None) -> tuple[tuple[Species, ...], dict[str, Species]]:
    """(species in table order, {plain name: species}) of one folder of tables."""
    t = load(folder)
    names: dict[str, Species] = {}
    found = tuple(Species(**row, facts=complete(row, t.facts[row["key"]], t.rules),
                          cautions=t.cautions[row["key"]],
                          alternatives=t.alternatives[row["key"]]) for row in t.species)
    for wood in found:
        for text in map(_plain, (wood.key, wood.name, wood.name.split("(")[0], *wood.synonyms)):
            if names.setdefault(text, wood) is not wood:
                raise ValueError(f"species.csv, {wood.key!r}: the name {text!r} also belongs to "
                                 f"{names[text].key!r}; accepted: each name once")
    return found, names


_OWN: dict[str, Species] = {}
"""Own woods and boards made known in this process, by key, the latest last."""


def _table_wood(name: str) -> Species | None:
    return _catalogue()[1].get(_plain(name))


def admit(wood: Species) -> Species:
    """Make an own wood (wood.own) known in this process; one known already is kept as it is. Returns the
    Species that its key stands for. Raises ValueError for a wood of the tables.
    >>> admit(species("wenge"))
    Traceback (most recent call last):
    ValueError: wood: 'wenge' is of the tables; accepted: an own wood
    """
    if _table_wood(wood.key) is not None:
        raise ValueError(f"wood: {wood.name!r} is of the tables; accepted: an own wood")
    _OWN[wood.key] = _OWN.pop(wood.key, wood)
    return _OWN[wood.key]


def forget(name: str | Species) -> None:
    """Let an own wood be known no longer, by name or key. Raises ValueError for one that is not known.
    >>> forget("wenge")
    Traceback (most recent call last):
    ValueError: own wood: 'wenge' given; accepted: one made known before
    """
    wood = species(name)
    if _OWN.pop(wood.key, None) is None:
        raise ValueError(f"own wood: {wood.name!r} given; accepted: one made known before")


def own_species(earlier: bool = False) -> tuple[Species, ...]:
    """Own boards, then own woods that this process knows, of each name the latest (or the `earlier` ones).
    >>> set(own_species()) & set(all_species())
    set()
    """
    latest = {_plain(wood.name): wood for wood in _OWN.values()}
    found = [wood for wood in _OWN.values() if (latest[_plain(wood.name)] is wood) is not earlier]
    return tuple(sorted(found, key=lambda wood: (not wood.one_board, wood.name.lower())))


def all_species(made: bool = False) -> tuple[Species, ...]:
    """Every wood of the tables, in table order, none of one's own; with `made` the composites of paper or
    glass and resin too.
    >>> all_species()[0].name, len(all_species(made=True)) - len(all_species())
    ('hard maple', 2)
    """
    return tuple(wood for wood in _catalogue()[0] if made or wood.loss_class != "composite")


def species(name: str | Species) -> Species:
    """The wood called `name`: key, common name, trade or botanical synonym; case, spaces, hyphens and accents
    do not matter.

    Returns Species. Raises ValueError that suggests near names.
    >>> species("Sugar Maple").key
    'hard_maple'
    """
    if isinstance(name, Species):
        return name
    found, names = _catalogue()
    plain = _plain(given := name if isinstance(name, str) else "")
    if found_wood := names.get(plain) or _OWN.get(given):
        return found_wood
    if own := [wood for wood in _OWN.values() if plain and plain in (_plain(wood.key), _plain(wood.name))]:
        return own[-1]
    words = [word for word in map(_plain, re.split(r"[\s_-]+", given)) if len(word) > 2]
    near = [wood.name for wood in found
            if any(word in _plain(wood.name + " ".join(wood.synonyms)) for word in words)]
    near += [names[text].name for text in get_close_matches(plain, names, 4, 0.6)]
    hint = (f"Did you mean {', '.join(list(dict.fromkeys(near))[:8])}?" if near
            else "Call all_species() for the list; "
            "a board of another wood can be described by its own measurements")
    raise ValueError(f"species: {name!r} given; it is not in the tables. {hint}")
