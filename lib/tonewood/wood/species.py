"""A wood by name: published facts with their sources, gaps filled by stated rules and marked."""

import re
import unicodedata
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cached_property, lru_cache
from statistics import fmean, pstdev

from tonewood.wood import facts as tables
from tonewood.wood.elastic import Elastic
from tonewood.wood.filling import complete
from tonewood.wood.loss import NOTE, Loss


@dataclass(frozen=True, eq=False)
class Species:
    """One wood at 12 % moisture. Build with species(name), not by hand.

    key, name, botanical; group 'hardwood' or 'softwood'; uses: some of 'neck', 'fretboard', 'body' (common practice); synonyms; loss_class.
    facts: {property: Fact}, gaps filled; alternatives: {property: (Fact, ...)} from further sources that disagree or add;
    cautions: (Caution, ...) for this wood, beside the general ones.
    """

    key: str
    name: str
    botanical: str
    group: str
    uses: tuple
    synonyms: tuple
    loss_class: str
    facts: dict = field(repr=False)
    alternatives: dict = field(repr=False)
    cautions: tuple = field(repr=False)

    def fact(self, name):
        """The Fact of a property. Raises ValueError that lists the properties this wood has."""
        if name not in self.facts:
            near = get_close_matches(str(name), self.facts, 1, 0.5)
            raise ValueError(f"{self.name}: no property {name!r}; it has {', '.join(self.facts)}" + (f". Did you mean {near[0]!r}?" if near else ""))
        return self.facts[name]

    def status(self, name):
        """How sure a property is: 'published', 'estimated', 'common practice' or 'from memory'."""
        return self.fact(name).status

    def _value(self, name):
        return self.fact(name).value

    @property
    def density(self):
        """Density at 12 % moisture, kg/m3."""
        return self._value("density")

    @property
    def modulus(self):
        """Young's modulus along the grain E_L, Pa: 1.10 x bending modulus (Wood Handbook rule, so `estimated`)."""
        return 1e9 * self._value("modulus")

    @cached_property
    def elastic(self):
        """The nine elastic constants at 12 % moisture (Elastic, Pa): E_L times the ratios of the wood, or of its group where it has none."""
        e = self.modulus
        return Elastic(*(e * r for r in (1.0, *(self._value(f"{n}_ratio") for n in ("E_R", "E_T", "G_LR", "G_LT", "G_RT")))),
                       *(self._value(n) for n in ("nu_LR", "nu_LT", "nu_RT")))

    @property
    def swelling(self):
        """(C_L, C_R, C_T): strain per unit moisture fraction (0.353 means 0.353 % per 1 % moisture)."""
        return tuple(100 * self._value(f"movement_{d}") for d in ("longitudinal", "radial", "tangential"))

    @property
    def longitudinal_range(self):
        """Low and high C_L per unit moisture fraction, from the printed 0.1 to 0.2 % green to ovendry."""
        along, saturation = tables.rule("shrinkage_longitudinal"), tables.rule("fibre_saturation").value / 100
        return along.low / 100 / saturation, along.high / 100 / saturation

    @property
    def shrinkage(self):
        """(radial, tangential) shrinkage from green to ovendry, fractions of the green size."""
        return self._value("shrinkage_radial") / 100, self._value("shrinkage_tangential") / 100

    @cached_property
    def loss(self):
        """Loss factor along the grain with its 90 % band (Loss): measured where published, else the relation of wood.loss."""
        fact = self.fact("loss_factor")
        if fact.status == "published":
            return Loss(fact.value, tables.rule("loss_measured_band").value, fact.status, f"{fact.note}. {NOTE}")
        band = tables.rule(f"loss_{self.loss_class.split('-')[0]}_band").value
        return Loss(fact.value, band, fact.status, f"{fact.note}. {NOTE}")

    @property
    def green_ratio(self):
        """Bending modulus at 12 % moisture over green."""
        return self._value("green_ratio")

    @property
    def mp(self):
        """Moisture fraction at which drying begins to stiffen the wood (M_p of Handbook Eq. 5-3)."""
        return self._value("intersection_moisture") / 100

    @property
    def fibre_saturation(self):
        """Moisture fraction above which the wood no longer swells."""
        return self._value("fibre_saturation") / 100

    @property
    def cov_modulus(self):
        """Coefficient of variation of the modulus between boards of this wood."""
        return self._value("cov_modulus")

    @property
    def cov_density(self):
        """Coefficient of variation of the density between boards of this wood."""
        return self._value("cov_density")

    @property
    def cov_swelling(self):
        """Coefficient of variation of the cross-grain swelling between boards of this wood."""
        return self._value("cov_swelling")

    def _modulus_readings(self):
        """Bending moduli (GPa) of all sources that were read."""
        main = self.fact("bending_modulus")
        others = [f.value for f in self.alternatives.get("bending_modulus", ()) if f.status == "published"]
        return [main.value, *others]

    @property
    def modulus_band(self):
        """Lowest and highest E_L (Pa) among the sources read, each 1.10 x its bending modulus; one rule's scatter either way if none measured it."""
        readings = self._modulus_readings()
        if self.status("bending_modulus") != "published":
            scatter = self.cov_modulus_sources
            readings = [readings[0] * (1 - scatter), readings[0] * (1 + scatter), *readings[1:]]
        lift = 1e9 * tables.rule("longitudinal_modulus").value
        return lift * min(readings), lift * max(readings)

    @cached_property
    def cov_modulus_sources(self):
        """How far the sources disagree on the mean modulus: their standard deviation over their mean (0 with one source), or the scatter of the rule
        that filled it. Shared by all boards of the wood, unlike cov_modulus."""
        if self.status("bending_modulus") != "published":
            if "bending_modulus_green" in self.facts:
                ratio = tables.rule(f"{self.group}_green_ratio")
                return ratio.sd / ratio.value
            return tables.rule("modulus_from_density_residual").value
        readings = self._modulus_readings()
        return pstdev(readings) / fmean(readings)

    @property
    def estimated(self):
        """Names of properties that a stated rule filled."""
        return tuple(name for name, fact in self.facts.items() if fact.status == "estimated")

    @property
    def unverified(self):
        """Names of properties that rest on memory."""
        return tuple(name for name, fact in self.facts.items() if fact.status == "from memory")

    def table(self):
        """DataFrame of every fact, main first, then alternatives: value, unit, cov, status, source (citation), place, note."""
        import pandas as pd

        rows = [(fact, "main") for fact in self.facts.values()]
        rows += [(fact, "alternative") for facts in self.alternatives.values() for fact in facts]
        return pd.DataFrame([{"property": f.property, "use": use, "value": f.value, "unit": f.unit, "cov": f.cov, "status": f.status,
                              "source": tables.citation(f.source), "place": f.place, "note": f.note} for f, use in rows]).set_index("property")


def _plain(text):
    """A name as it is compared: lower case, accents and everything but letters and digits dropped."""
    text = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]", "", text.lower())


@lru_cache(maxsize=8)
def _catalogue(folder=None):
    """(species in table order, {plain name: species}) of one folder of tables."""
    t = tables.load(folder)
    found, names = [], {}
    for row in t.species:
        wood = Species(**row, facts=complete(row, t.facts[row["key"]], t.rules), alternatives=t.alternatives[row["key"]],
                       cautions=t.cautions[row["key"]])
        found.append(wood)
        for text in dict.fromkeys(_plain(text) for text in (wood.key, wood.name, wood.name.split("(")[0], *wood.synonyms)):
            if names.setdefault(text, wood) is not wood:
                raise ValueError(f"species.csv, {wood.key!r}: the name {text!r} also belongs to {names[text].key!r}; accepted: each name once")
    return tuple(found), names


def all_species():
    """Every wood of the tables, in table order."""
    return _catalogue()[0]


def species(name):
    """The wood called `name`: key, common name, trade or botanical synonym; case, spaces, hyphens and accents do not matter.

    Returns Species. Raises ValueError that suggests near names.
    """
    if isinstance(name, Species):
        return name
    found, names = _catalogue()
    plain = _plain(name) if isinstance(name, str) else ""
    if plain in names:
        return names[plain]
    words = [_plain(word) for word in re.split(r"[\s_-]+", name)] if isinstance(name, str) else []
    near = [wood.name for wood in found if any(len(word) > 2 and word in _plain(wood.name + " ".join(wood.synonyms)) for word in words)]
    near += [names[text].name for text in get_close_matches(plain, names, 4, 0.6)]
    near = list(dict.fromkeys(near))[:8]
    raise ValueError(f"species: {name!r} given; it is not in the tables. " + (f"Did you mean {', '.join(near)}?" if near else
                     "Call all_species() for the list; a board of another wood can be described by its own measurements"))
