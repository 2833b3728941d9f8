"""A builder's own wood, and one measured board, as a wood beside those of the tables.

What was measured is given; every gap is filled by the rules of wood.filling (data/rules.csv), or taken from
the wood of the tables that it is or resembles, and marked so. An own wood is known by its key wherever a
species key is. The key ends in a few letters made from all its values: one with other values is another wood,
so that a kept design keeps the values it was made with.
"""

from __future__ import annotations

import hashlib
import json
import re
import unicodedata
from dataclasses import dataclass, field, fields
from functools import cached_property
from math import exp
from typing import Any

import numpy as np

from tonewood import checks
from tonewood.draws import Z90
from tonewood.remember import remember
from tonewood.schema import GROUPS, LOSS_CLASSES
from tonewood.wood.elastic import MODULI, POISSON
from tonewood.wood.facts import MEASURED, OWN, Fact, load, rule
from tonewood.wood.filling import Facts, complete, worst
from tonewood.wood.loss import Loss
from tonewood.wood.species import Species, _table_wood, admit, forget, species  # noqa: F401

_MOVES = ("longitudinal", "radial", "tangential")


@dataclass(frozen=True, kw_only=True)
class OwnWood:
    """What a builder states of an own wood, or of one board, at 12 % moisture; None: not measured.

    name; like: key of the wood of the tables that it is (one_board) or resembles, "" for none; group
    'hardwood' or 'softwood' and loss_class count where it resembles none. density (kg/m3); E_L, E_R, E_T,
    G_LR, G_LT, G_RT (Pa); nu_LR, nu_LT, nu_RT; movement (C_L, C_R, C_T: strain per unit moisture fraction);
    loss: loss factor along the grain. one_board: True where these are values of a single board; then
    modulus_error, density_error, loss_error are the relative standard uncertainties that are left of it and
    correlation that of density and modulus, else they are the scatter between its boards. ring_angle,
    run_out, slope: how the board's grain runs (rad). follows: names of those values that were not read
    themselves but follow from the others; they are marked estimated. Raises ValueError.
    """

    name: str
    like: str = ""
    group: str = "hardwood"
    loss_class: str = "ordinary"
    one_board: bool = False
    density: float | None = None
    E_L: float | None = None
    E_R: float | None = None
    E_T: float | None = None
    G_LR: float | None = None
    G_LT: float | None = None
    G_RT: float | None = None
    nu_LR: float | None = None
    nu_LT: float | None = None
    nu_RT: float | None = None
    movement_longitudinal: float | None = None
    movement_radial: float | None = None
    movement_tangential: float | None = None
    loss: float | None = None
    modulus_error: float | None = None
    density_error: float | None = None
    loss_error: float | None = None
    correlation: float | None = None
    ring_angle: float = 0.0
    run_out: float = 0.0
    slope: float = 0.0
    follows: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        name = str(self.name).strip()
        if not re.search(r"\w", name) or len(name) > 60:
            raise ValueError(f"name of the wood: {self.name!r} given; accepted: 1 to 60 signs, with a letter "
                             "or a number among them, such as Mill maple, board 3")
        object.__setattr__(self, "name", name)
        if _table_wood(name) is not None:
            raise ValueError(f"name of the wood: {name!r} stands in the tables; accepted: a name of your "
                             f"own, such as {name}, board 3")
        if self.like:
            object.__setattr__(self, "like", species(self.like).key)
        if self.one_board and not self.like and None in (self.density, self.E_L):
            raise ValueError("board: no wood named; accepted: the wood that it is, or its own density and "
                             "E_L")
        object.__setattr__(self, "follows", tuple(self.follows))
        checks.choice_of("value that follows", self.follows, [f.name for f in fields(self)][5:-4])
        checks.choice("group", self.group, GROUPS)
        checks.choice("loss class", self.loss_class, LOSS_CLASSES)
        self._check_numbers()

    def _check_numbers(self) -> None:
        given = {f.name: getattr(self, f.name) for f in fields(self) if getattr(self, f.name) is not None}

        for name, value in given.items():
            if name == "density":
                value = checks.density("density", value)
            elif name == "E_L":
                value = checks.modulus("E_L", value)
            elif name in MODULI:
                value = checks.number(name, value, 1e6, 20e9, "Pa", checks.gigapascals)
            elif name in POISSON:
                value = checks.number(name, value, 0.0, 1.5)
            elif name.startswith("movement"):
                value = checks.number(name.replace("_", ", "), value, *checks.SWELLING_LIMITS,
                                      "per unit moisture fraction", lambda v: None if v > 100 else
                                      f"Per cent for each per cent? Give {v / 100:g}" if v > 1 else None)
            elif name == "loss":
                value = checks.number("loss factor", value, 0.0, 0.5, "", lambda v: f"Thousandths? Give "
                                      f"{v / 1000:g}" if 0.5 < v < 500 else None, open_low=True)
            elif name.endswith("_error"):
                value = checks.fraction(name.replace("_", " "), value, high=1.0)
            elif name == "correlation":
                value = checks.number(name, value, -0.99, 0.99)
            elif name in ("ring_angle", "run_out", "slope"):
                limit = np.pi / 2 if name == "ring_angle" else 0.8
                value = checks.angle(name.replace("_", " "), value, limit)
            else:
                continue
            if np.ndim(value):
                raise ValueError(f"{name}: {value!r} given; accepted: one number")
            object.__setattr__(self, name, value)

    @property
    def key(self) -> str:
        """Its key among the woods: own_, its name, and letters made from its values.
        >>> OwnWood(name="Mill maple", like="hard maple").key[:15]
        'own_mill_maple_'
        """
        plain = unicodedata.normalize("NFKD", self.name).encode("ascii", "ignore").decode().lower()
        given = {f.name: getattr(self, f.name) for f in fields(self) if getattr(self, f.name) != f.default}
        mark = hashlib.sha256(json.dumps(given, sort_keys=True).encode()).hexdigest()[:6]
        return f"own_{re.sub(r'[^a-z0-9]+', '_', plain).strip('_')[:30] or 'wood'}_{mark}"

    def wood(self) -> OwnSpecies:
        """The Species, gaps filled, not yet known by its key (see `keep`). Raises ValueError: constants that
        no wood has (each modulus along the grain must exceed those across it, the stiffness must be positive
        definite).
        >>> OwnWood(name="Mill maple", like="hard maple", density=690.0).wood().status("density")
        'measured'
        """
        return _made(self)

    def _filled(self) -> OwnSpecies:
        base = species(self.like) if self.like else None
        facts = self._facts(base)
        made = OwnSpecies(key=self.key, name=self.name, botanical=base.botanical if base else "",
                          group=base.group if base else self.group, uses=("neck", "fretboard", "body"),
                          synonyms=(), loss_class=base.loss_class if base else self.loss_class, facts=facts,
                          alternatives=self._alternatives(base), cautions=base.cautions if base else (),
                          own=self)
        _ = made.elastic                                    # refuses what no wood can be
        return made

    def _facts(self, base: Species | None) -> Facts:
        def resembled(fact: Fact) -> Fact:
            if self.one_board or base is None:
                return fact
            return Fact(**{**vars(fact), "status": worst("estimated", fact.status),
                           "note": f"as {base.name}. {fact.note}"})

        facts: Facts = {n: resembled(f) for n, f in base.facts.items()} if base else {}

        def put(name: str, value: float | None, unit: str, cov: float | None = None, note: str = "") -> None:
            if value is not None:
                came = {"density": "density", "modulus": "E_L", "bending_modulus": "E_L"}.get(name, name)
                read = came not in self.follows
                facts[name] = Fact(property=name, value=float(value), unit=unit, cov=cov, source=OWN,
                                   place="own reading", status=MEASURED if read else "estimated",
                                   note=note or ("" if read else "follows from what was read of the board"))

        put("density", self.density, "kg/m3")
        if self.E_L is not None:
            lift = rule("longitudinal_modulus").value
            put("bending_modulus", 1e-9 * self.E_L / lift, "GPa", note=f"own modulus over {lift:g}")
            put("modulus", 1e-9 * self.E_L, "GPa")
            facts.pop("bending_modulus_green", None)
        for way in _MOVES:
            moves = getattr(self, f"movement_{way}")
            put(f"movement_{way}", None if moves is None else moves / 100, "1/%")
        for scatter, value in (("cov_modulus", self.modulus_error), ("cov_density", self.density_error),
                               ("correlation_density_modulus", self.correlation)):
            put(scatter, value, "1")
        put("loss_factor", self.loss, "1", self.loss_error, "an upper limit: supports and air take part")
        if base is None:
            if self.density is None:
                raise ValueError("density: nothing given; accepted: a density in kg/m³, or the wood of the "
                                 "tables that this one resembles. Weigh a piece: mass over volume")
            row: Any = {"key": self.key, "group": self.group, "loss_class": self.loss_class}
            facts = complete(row, facts, load().rules)
        E_L = 1e9 * facts["modulus"].value
        for name in MODULI:
            value = getattr(self, name)
            put(f"{name}_ratio", None if value is None else value / E_L, "1", note="own modulus over E_L")
        for name in POISSON:
            put(name, getattr(self, name), "1")
        self._check_order(facts)
        return facts

    def _alternatives(self, base: Species | None) -> dict[str, tuple[Fact, ...]]:
        """What further sources say of the wood it is, where it was not measured itself."""
        given = {"density": self.density, "bending_modulus": self.E_L, "loss_factor": self.loss}
        return {n: f for n, f in (base.alternatives if base and self.one_board else {}).items()
                if given.get(n) is None}

    def _check_order(self, facts: Facts) -> None:
        """Along the grain stiffest, along the ray next, before the nine constants are looked at together."""
        E_L = facts["modulus"].value
        E = {"E_L": E_L, **{n: E_L * facts[f"{n}_ratio"].value for n in MODULI}}
        for first, second in (("E_L", "E_R"), ("E_L", "E_T"), ("E_R", "E_T")):
            own = [n for n in (first, second) if getattr(self, n) is not None]
            if own and E[first] < E[second] * (1 - 1e-9):
                told = " and ".join(f"{n} {E[n]:.3g} GPa{'' if n in own else ' (filled)'}"
                                    for n in (first, second))
                raise ValueError(f"elastic constants: {told}; accepted: E_L above E_R, E_R not below E_T. "
                                 f"Are {first} and {second} exchanged?")
        for name in ("G_LR", "G_LT", "G_RT"):
            if getattr(self, name) is not None and E[name] > 0.5 * E_L:
                raise ValueError(f"{name}: {E[name]:.3g} GPa given; accepted: below half of E_L, here "
                                 f"{0.5 * E_L:.3g} GPa. Is it a Young's modulus?")

    @property
    def loss_band(self) -> float:
        """90 % band of its loss factor as a factor: that of a tapped board (rule loss_own_band), widened by
        the reading's own uncertainty."""
        reading = exp(Z90 * (self.loss_error or 0.0))
        return float(exp(np.hypot(np.log(rule("loss_own_band").value), np.log(reading))))


@dataclass(frozen=True, eq=False, kw_only=True)
class OwnSpecies(Species):
    """A Species made from what a builder stated of an own wood or board (own)."""

    own: OwnWood = field(repr=False)

    @property
    def one_board(self) -> bool:
        """Is this a single measured board, whose scatter is what its readings leave open?"""
        return self.own.one_board

    @cached_property
    def loss(self) -> Loss:
        """Loss factor along the grain with its 90 % band: the board's own where it was tapped."""
        fact = self.fact("loss_factor")
        return (Loss(fact.value, self.own.loss_band, fact.status, fact.note) if fact.source == OWN
                else super().loss)


_made = remember(512)(OwnWood._filled)


def stated(wood: Species) -> OwnWood | None:
    """What the builder stated of an own wood or board; None for a wood of the tables.
    >>> stated(species("wenge"))
    """
    return wood.own if isinstance(wood, OwnSpecies) else None


def keep(own: OwnWood) -> Species:
    """Make the wood known by its key and its name wherever a species is named, in this process. The latest of
    a name is found by it. Returns the Species. Raises ValueError.
    >>> keep(OwnWood(name="Mill maple", like="hard maple")) is species("mill maple")
    True
    >>> forget("mill maple")
    """
    return admit(own.wood())


def own_wood(name: str, **given: Any) -> Species:
    """A builder's own wood, made and kept known: any of the fields of OwnWood by name (density in kg/m3,
    moduli in Pa, movement per unit moisture fraction, loss, like). Missing ones are filled by the stated
    rules and marked estimated, given ones are marked measured. Raises ValueError.
    >>> wood = own_wood("Orchard plum", density=760.0, E_L=11.5e9)
    >>> wood.status("modulus"), wood.status("E_R_ratio"), species("orchard plum").density
    ('measured', 'estimated', 760.0)
    >>> forget(wood)
    """
    checks.choice_of("field of an own wood", given, [f.name for f in fields(OwnWood)][1:])
    return keep(OwnWood(name=name, **given))
