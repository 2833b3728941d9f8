"""Gaps in the tables, filled by stated rules (data/rules.csv) and marked `estimated`, or worse if they rest
on something worse.

Every rule names what it used in the note of the fact it makes, so a learner can see which numbers of a wood
were never measured.
"""

from __future__ import annotations

from math import hypot

from tonewood.schema import STATUSES
from tonewood.tables import Row
from tonewood.wood.elastic import MODULI, POISSON
from tonewood.wood.facts import MEASURED, Fact, Rule
from tonewood.wood.loss import relation

RATIOS = (*(f"{name}_ratio" for name in MODULI), *POISSON)

Facts = dict[str, Fact]
Rules = dict[str, Rule]


def worst(*statuses: str) -> str:
    """The least certain of several status words, by name.
    >>> worst("published", "estimated")
    'estimated'
    """
    return max(statuses, key=(MEASURED, *STATUSES).index)


def _fill(facts: Facts, name: str, value: float, unit: str, note: str, *bases: Fact | Rule,
          place: str = "rules.csv", cov: float | None = None) -> None:
    """Add a fact unless the wood has it: estimated, or as uncertain as the worst thing it rests on."""
    status = worst("estimated", *(base.status for base in bases))
    source = "memory" if status == "from memory" else "derived"
    facts.setdefault(name, Fact(property=name, value=float(value), unit=unit, cov=cov, source=source,
                                place=place, status=status, note=note))


def complete(row: Row, facts: Facts, rules: Rules) -> Facts:
    """All facts of one wood, gaps filled. row: its line of species.csv; facts: {property: Fact}; rules:
    {name: Rule}.

    Returns a new dict that holds every property named in RATIOS and: density, bending_modulus, modulus (E_L,
    GPa), green_ratio, shrinkage_radial, shrinkage_tangential, movement_radial, movement_tangential,
    movement_longitudinal, fibre_saturation, intersection_moisture, cov_modulus, cov_density, cov_swelling,
    loss_factor. Raises ValueError if there is nothing to start from.
    >>> from tonewood.wood.facts import load
    >>> t = load()
    >>> complete(t.species[0], t.facts["hard_maple"], t.rules)["modulus"].note
    'E_L = 1.1 x bending modulus 12.6 GPa (published)'
    """
    facts, group = dict(facts), row["group"]
    _density(facts, row, rules)
    _stiffness(facts, group, rules)
    for name in RATIOS:
        mean = rules[f"{group}_{name}"]
        _fill(facts, name, mean.value, "1", f"{group} mean, {mean.place}; scatter between woods {mean.sd:g}",
              mean, cov=mean.scatter)
    tropical = "" if row["loss_class"] in ("ordinary", "composite") else "_tropical"
    for name, key in (("fibre_saturation", f"fibre_saturation{tropical}"), ("intersection_moisture",) * 2):
        usual = rules[key]
        _fill(facts, name, usual.value, "%", f"{usual.place}: this wood has none of its own", usual,
              cov=usual.scatter or None)
    _movement(facts, row, rules)
    for name, key in (("cov_modulus", f"{group}_cov_modulus"), ("cov_density",) * 2, ("cov_swelling",) * 2):
        _fill(facts, name, rules[key].value, "1", rules[key].note or rules[key].place, rules[key])
    if "loss_factor" not in facts:
        _loss(facts, row["loss_class"], rules)
    return facts


def _swollen(rules: Rules) -> tuple[float, float]:
    """(volumetric shrinkage per unit green specific gravity, share of it still to come from 12 % to ovendry)
    of Eq. 4-12."""
    return rules["volumetric_shrinkage"].value / 100, 1 - 12 / rules["fibre_saturation"].value


def _density(facts: Facts, row: Row, rules: Rules) -> None:
    """From a specific gravity G (ovendry mass over volume): 1000 G 1.12, G at 12 % from that of green wood
    where needed."""
    if base := facts.get("specific_gravity"):
        note = f"1000 x specific gravity {base.value:g} x 1.12"
        _fill(facts, "density", 1120 * base.value, "kg/m3", note, base, place="Handbook Eq. 4-14")
    elif base := facts.get("specific_gravity_green"):
        per_gravity, dried = _swollen(rules)
        at_12 = base.value / (1 - per_gravity * base.value * dried)
        note = f"from green specific gravity {base.value:g}"
        _fill(facts, "density", 1120 * at_12, "kg/m3", note, base, place="Handbook Eq. 4-13, 4-14")
    elif "density" not in facts:
        raise ValueError(f"properties.csv, species {row['key']!r}: neither density nor a specific gravity "
                         "given; one of them is required")


def _stiffness(facts: Facts, group: str, rules: Rules) -> None:
    ratio, lift = rules[f"{group}_green_ratio"], rules["longitudinal_modulus"]
    dry, green = facts.get("bending_modulus"), facts.get("bending_modulus_green")
    if dry and green:
        facts["green_ratio"] = Fact(property="green_ratio", value=dry.value / green.value, unit="1",
                                    source=dry.source,
                                    place=dry.place, status=worst(dry.status, green.status),
                                    note="bending modulus at 12 % over green")
    elif green:
        note = f"green modulus {green.value:g} GPa x {group} mean ratio {ratio.value:g}"
        _fill(facts, "bending_modulus", green.value * ratio.value, "GPa", note, green, ratio)
    elif not dry:
        factor, exponent = rules["modulus_from_density_factor"], rules["modulus_from_density_exponent"]
        gravity = facts["density"].value / 1120
        note = f"{factor.value:g} x specific gravity {gravity:.3g} ^ {exponent.value:g}, fitted to hardwoods"
        _fill(facts, "bending_modulus", factor.value * gravity**exponent.value, "GPa", note, facts["density"],
              factor)
    _fill(facts, "green_ratio", ratio.value, "1", f"{group} mean, {ratio.place}; scatter {ratio.sd:g}", ratio)
    dry = facts["bending_modulus"]
    note = f"E_L = {lift.value:g} x bending modulus {dry.value:g} GPa ({dry.status})"
    _fill(facts, "modulus", lift.value * dry.value, "GPa", note, dry, lift, place=lift.place)


def _movement(facts: Facts, row: Row, rules: Rules) -> None:
    loss_class, q = row["loss_class"], rules[f"{row['group']}_shrinkage_ratio"]
    dry, (swell, dried) = facts["density"].value / 1120, _swollen(rules)
    green = dry / (1 + swell * dried * dry)
    per_gravity = rules[f"volumetric_shrinkage_{loss_class}" if loss_class in ("tropical", "extractive-rich")
                        else "volumetric_shrinkage"]
    whole = per_gravity.value * green
    note = (f"volumetric shrinkage {per_gravity.value:g} % x green specific gravity {green:.3g}, "
            f"split tangential : radial {q.value:.3g} : 1")
    for direction, part in (("radial", 1.0), ("tangential", q.value)):
        # what the split leaves open: radial = whole / (1 + q), tangential = whole q / (1 + q)
        split = q.scatter * q.value / part / (1 + q.value)
        _fill(facts, f"shrinkage_{direction}", whole * part / (1 + q.value), "%", note, facts["density"], q,
              cov=hypot(per_gravity.scatter, split))
    full, middle, error = facts["fibre_saturation"], rules["movement_range"], rules["movement_rule_error"]
    for direction in ("radial", "tangential"):
        shrinkage = facts[f"shrinkage_{direction}"]
        foretold = (shrinkage.cov or 0.0) if shrinkage.source == "derived" else 0.0
        # the straight line of Eq. 4-9, as a share of the size at the middle of its range
        moves = 1 / (100 * full.value / shrinkage.value - full.value + middle.value)
        note = (f"{direction} shrinkage {shrinkage.value:.3g} % ({shrinkage.status}) over fibre saturation "
                f"{full.value:g} % ({full.status}), per size at {middle.value:g} % moisture")
        _fill(facts, f"movement_{direction}", moves, "1/%", note, shrinkage, error,
              place="Handbook Eq. 4-9", cov=hypot(error.value, full.cov or 0.0, foretold))
    along, saturation = rules["shrinkage_longitudinal"], rules["fibre_saturation"].value
    note = (f"{along.low:g} to {along.high:g} % green to ovendry / {saturation:g}, middle; "
            "reaction or juvenile wood up to ten times")
    _fill(facts, "movement_longitudinal", along.value / 100 / saturation, "1/%", note, along,
          place=along.place)


def _loss(facts: Facts, loss_class: str, rules: Rules) -> None:
    factor, band = rules[f"loss_{loss_class}_factor"], rules[f"loss_{loss_class}_band"]
    specific = facts["modulus"].value / (facts["density"].value / 1000)
    note = (f"relation at E/rho {specific:.3g} GPa x class factor {factor.value:g} ({loss_class}); "
            f"90 % band x or / {band.value:g}; cannot rank woods")
    value = factor.value * float(relation(specific))
    _fill(facts, "loss_factor", value, "1", note, rules["loss_factor_log10"], factor, facts["modulus"])
