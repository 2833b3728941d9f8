"""Gaps in the tables, filled by stated rules (data/rules.csv) and marked `estimated`, or worse if they rest on something worse.

Every rule names what it used in the note of the fact it makes, so a learner can see which numbers of a wood were never measured.
"""

from tonewood.wood.facts import STATUSES, Fact
from tonewood.wood.loss import relation

RATIOS = ("E_R_ratio", "E_T_ratio", "G_LR_ratio", "G_LT_ratio", "G_RT_ratio", "nu_LR", "nu_LT", "nu_RT")


def worst(*statuses):
    """The least certain of several status words."""
    return max(statuses, key=STATUSES.index)


def _made(name, value, unit, note, *bases, place="rules.csv"):
    """A filled fact: estimated, or as uncertain as the worst thing it rests on."""
    status = worst("estimated", *(base.status for base in bases))
    return Fact(name, float(value), unit, None, "memory" if status == "from memory" else "derived", place, status, note)


def complete(row, facts, rules):
    """All facts of one wood, gaps filled. row: its line of species.csv; facts: {property: Fact}; rules: {name: Rule}.

    Returns a new dict that holds every property named in RATIOS and: density, bending_modulus, modulus (E_L, GPa), green_ratio,
    shrinkage_radial, shrinkage_tangential, movement_radial, movement_tangential, movement_longitudinal, fibre_saturation,
    intersection_moisture, cov_modulus, cov_density, cov_swelling, loss_factor. Raises ValueError if there is nothing to start from.
    """
    facts, group = dict(facts), row["group"]
    _density(facts, row)
    _stiffness(facts, group, rules)
    for name in RATIOS:
        if name not in facts:
            mean = rules[f"{group}_{name}"]
            facts[name] = _made(name, mean.value, "1", f"{group} mean, {mean.place}; scatter between woods {mean.sd:g}", mean)
    _movement(facts, row, rules)
    for name, text in (("fibre_saturation", "general value"), ("intersection_moisture", "general value of Eq. 5-3")):
        if name not in facts:
            facts[name] = _made(name, rules[name].value, "%", f"{text}: this wood has none of its own", rules[name])
    for name, key in (("cov_modulus", f"{group}_cov_modulus"), ("cov_density", "cov_density"), ("cov_swelling", "cov_swelling")):
        if name not in facts:
            facts[name] = _made(name, rules[key].value, "1", rules[key].note or rules[key].place, rules[key])
    if "loss_factor" not in facts:
        facts["loss_factor"] = _loss(facts, row["loss_class"], rules)
    return facts


def _density(facts, row):
    if "density" in facts:
        return
    if "specific_gravity" in facts:
        base = facts["specific_gravity"]
        facts["density"] = _made("density", 1120 * base.value, "kg/m3", f"1000 x specific gravity {base.value:g} x 1.12", base, place="Handbook Eq. 4-14")
    elif "specific_gravity_green" in facts:
        base = facts["specific_gravity_green"]
        at_12 = base.value / (1 - 0.265 * base.value * (1 - 12 / 30))
        facts["density"] = _made("density", 1120 * at_12, "kg/m3", f"from green specific gravity {base.value:g}", base, place="Handbook Eq. 4-13, 4-14")
    else:
        raise ValueError(f"properties.csv, species {row['key']!r}: neither density nor a specific gravity given; one of them is required")


def _stiffness(facts, group, rules):
    ratio = rules[f"{group}_green_ratio"]
    green = facts.get("bending_modulus_green")
    if "bending_modulus" in facts:
        dry = facts["bending_modulus"]
        if green:
            status = worst(dry.status, green.status)
            facts["green_ratio"] = Fact("green_ratio", dry.value / green.value, "1", None, dry.source, dry.place, status, "bending modulus at 12 % over green")
    elif green:
        facts["bending_modulus"] = _made("bending_modulus", green.value * ratio.value, "GPa",
                                         f"green modulus {green.value:g} GPa x {group} mean ratio {ratio.value:g}", green, ratio)
    else:
        factor, exponent = rules["modulus_from_density_factor"], rules["modulus_from_density_exponent"]
        gravity = facts["density"].value / 1120
        facts["bending_modulus"] = _made("bending_modulus", factor.value * gravity**exponent.value, "GPa",
                                         f"{factor.value:g} x specific gravity {gravity:.3g} ^ {exponent.value:g}, fitted to hardwoods", facts["density"], factor)
    if "green_ratio" not in facts:
        facts["green_ratio"] = _made("green_ratio", ratio.value, "1", f"{group} mean, {ratio.place}; scatter {ratio.sd:g}", ratio)
    dry, lift = facts["bending_modulus"], rules["longitudinal_modulus"]
    facts["modulus"] = _made("modulus", lift.value * dry.value, "GPa", f"E_L = {lift.value:g} x bending modulus {dry.value:g} GPa ({dry.status})", dry, lift,
                             place=lift.place)


def _movement(facts, row, rules):
    group, short = row["group"], row["loss_class"].split("-")[0]
    if "shrinkage_radial" not in facts or "shrinkage_tangential" not in facts:
        q = rules[f"{group}_shrinkage_ratio"]
        dry = facts["density"].value / 1120
        green = dry / (1 + 0.265 * 0.6 * dry)
        per_gravity = rules["volumetric_shrinkage" if short == "ordinary" else f"volumetric_shrinkage_{short}"]
        whole = per_gravity.value * green
        note = f"volumetric shrinkage {per_gravity.value:g} % x green specific gravity {green:.3g}, split tangential : radial {q.value:.3g} : 1"
        known = facts.get("shrinkage_radial"), facts.get("shrinkage_tangential")
        facts["shrinkage_radial"] = known[0] or _made("shrinkage_radial", whole / (1 + q.value), "%", note, facts["density"], q)
        facts["shrinkage_tangential"] = known[1] or _made("shrinkage_tangential", whole * q.value / (1 + q.value), "%", note, facts["density"], q)
    for direction in ("radial", "tangential"):
        name, shrinkage, divisor = f"movement_{direction}", facts[f"shrinkage_{direction}"], rules[f"movement_from_shrinkage_{direction}"]
        if name not in facts:
            note = f"{direction} shrinkage {shrinkage.value:.3g} % ({shrinkage.status}) / {divisor.value:g}"
            if "fibre_saturation" in facts:
                note += f"; the rule supposes fibre saturation near 30 %, with this wood's {facts['fibre_saturation'].value:g} % it would be larger"
            facts[name] = _made(name, shrinkage.value / 100 / divisor.value, "1/%", note, shrinkage, divisor)
    along, saturation = rules["shrinkage_longitudinal"], rules["fibre_saturation"].value
    facts["movement_longitudinal"] = _made("movement_longitudinal", along.value / 100 / saturation, "1/%",
                                           f"{along.low:g} to {along.high:g} % green to ovendry / {saturation:g}, middle; reaction or juvenile wood up to ten times",
                                           along, place=along.place)


def _loss(facts, loss_class, rules):
    short = loss_class.split("-")[0]
    factor, band = rules[f"loss_{short}_factor"], rules[f"loss_{short}_band"]
    specific = facts["modulus"].value / (facts["density"].value / 1000)
    value = factor.value * relation(specific)
    note = f"relation at E/rho {specific:.3g} GPa x class factor {factor.value:g} ({loss_class}); 90 % band x or / {band.value:g}; cannot rank woods"
    return _made("loss_factor", value, "1", note, rules["loss_factor_log10"], factor, facts["modulus"])
