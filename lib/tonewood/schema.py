"""What every table of the data folder promises: its columns, units, ranges, allowed words and keys."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

STATUSES = ("published", "estimated", "common practice", "from memory")
GROUPS = ("hardwood", "softwood")
USES = ("neck", "fretboard", "body")
LOSS_CLASSES = ("ordinary", "tropical", "extractive-rich", "composite")
CAUTION_KINDS = ("dust", "contact", "working", "trade")
CONTINENTS = ("Africa", "Asia", "Europe", "North America", "Oceania", "South America")


@dataclass(frozen=True)
class Number:
    """A column of numbers: believable range in its unit ("1" has none), and whether only whole ones count."""

    low: float = -math.inf
    high: float = math.inf
    unit: str = "1"
    whole: bool = False


@dataclass(frozen=True, kw_only=True)
class Table:
    """What a table promises. columns: {name: str, float, a Number, or a tuple of the words accepted};
    optional: columns that may be empty; keys: groups of columns whose values may not occur together twice;
    needs: {column: words that must all occur}; refers: {column: (table, its column, further words)};
    quantity: the column whose word decides, by `quantities`, the unit and range of value, low and high;
    least: number of rows below which a table was cut short."""

    columns: Mapping[str, Any]
    optional: tuple[str, ...] = ()
    keys: tuple[tuple[str, ...], ...] = ()
    needs: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    refers: Mapping[str, tuple[str, str, tuple[str, ...]]] = field(default_factory=dict)
    quantity: str = ""
    quantities: Mapping[str, Number] = field(default_factory=dict)
    least: int = 1


def _by_unit(*groups: tuple[float, float, str, str]) -> dict[str, Number]:
    """{quantity: Number} of (low, high, unit, names separated by blanks)."""
    return {name: Number(low, high, unit) for low, high, unit, names in groups for name in names.split()}


PROPERTIES = _by_unit(
    (0.1, 1.4, "1", "specific_gravity"), (0.1, 1.2, "1", "specific_gravity_green"),
    (100, 2000, "kg/m3", "density"), (2, 35, "GPa", "bending_modulus"),
    (2, 30, "GPa", "bending_modulus_green"),
    (15, 300, "MPa", "bending_strength"), (10, 200, "MPa", "bending_strength_green"),
    (8, 150, "MPa", "compression_parallel"), (1, 40, "MPa", "shear_parallel"),
    (300, 25000, "N", "side_hardness"), (0.1, 12, "%", "shrinkage_radial"),
    (0.1, 16, "%", "shrinkage_tangential"), (4, 25, "%", "shrinkage_volumetric"),
    (1e-5, 5e-3, "1/%", "movement_radial"), (1e-5, 6e-3, "1/%", "movement_tangential"),
    (1e-6, 1e-3, "1/%", "movement_longitudinal"),
    (0.02, 0.9, "1", "E_R_ratio G_LR_ratio G_LT_ratio"), (0.01, 0.9, "1", "E_T_ratio"),
    (0.001, 0.2, "1", "G_RT_ratio"), (0.1, 1, "1", "nu_LR nu_LT nu_TR"), (0.1, 1.2, "1", "nu_RT"),
    (0.001, 0.3, "1", "nu_RL nu_TL"), (15, 40, "%", "fibre_saturation"),
    (15, 35, "%", "intersection_moisture"),
    (0.001, 0.1, "1", "loss_factor"), (0.01, 0.6, "1", "cov_modulus"), (0.01, 0.4, "1", "cov_density"))
"""Unit and believable range of each property of a wood."""

_MATERIALS = _by_unit(
    (0.1, 600, "GPa", "modulus"), (0.1, 300, "GPa", "shear_modulus"), (0.05, 0.5, "1", "poisson"),
    (500, 20000, "kg/m3", "density"), (-2e-6, 3e-4, "1/K", "expansion"), (1e-5, 0.5, "1", "loss_factor"),
    (50, 3000, "MPa", "yield_stress"), (10, 6000, "MPa", "strength"))

_HEARING = {"pitch glide": Number(0.01, 1, "equivalent rectangular bandwidths"),
            "shorter decay": Number(0.1, 1, "ratio of decay times"),
            "longer decay": Number(1, 10, "ratio of decay times"), "level step factor": Number(0.1, 2),
            "level step exponent": Number(-1, 0), "ear filter at 0 Hz": Number(5, 100, "Hz"),
            "ear filter growth": Number(1e-4, 0.1, "1/Hz"),
            "steady tones": Number(0.001, 1, "critical bandwidths")}

_RULES = _by_unit(
    (0.001, 0.5, "1", "hardwood_E_R_ratio hardwood_E_T_ratio hardwood_G_LR_ratio hardwood_G_LT_ratio "
     "hardwood_G_RT_ratio softwood_E_R_ratio softwood_E_T_ratio softwood_G_LR_ratio softwood_G_LT_ratio "
     "softwood_G_RT_ratio hardwood_cov_modulus softwood_cov_modulus cautious_cov_modulus cov_density "
     "cov_swelling movement_rule_error modulus_from_density_residual density_error modulus_error "
     "delivery_cov_density"),
    (0.1, 1, "1", "hardwood_nu_LR hardwood_nu_LT hardwood_nu_RT softwood_nu_LR softwood_nu_LT "
     "softwood_nu_RT"),
    (1, 3, "1", "hardwood_green_ratio hardwood_shrinkage_ratio softwood_green_ratio softwood_shrinkage_ratio "
     "longitudinal_modulus tap_over_bend strength_green_ratio"),
    (0.3, 2, "1", "modulus_from_density_exponent"),
    (0.03, 0.6, "1", "cov_bending_strength safe_stress_share"), (0.3, 1, "1", "ten_years_strength"),
    (0, 1, "1", "cov_transverse_ratio correlation_density_modulus kinship_different_trees kinship_same_tree "
     "kinship_same_board equilibrium_band shear_factor_rectangle string_core_share "
     "string_breaking_caution rod_working_share joint_share_bolt_on joint_share_set "
     "joint_share_neck_through workshop_humidity added_humidity creep_exponent"),
    (0.05, 3, "1", "creep_indoors creep_sheltered_outdoors"),
    (1, 10, "1", "creep_factor diffusion_band loss_ordinary_band loss_tropical_band loss_composite_band "
     "loss_extractive-rich_band loss_measured_band loss_own_band loss_softwood_R_ratio "
     "loss_softwood_LR_ratio loss_hardwood_R_ratio loss_hardwood_LR_ratio"),
    (0.001, 2, "mm", "feeler_reading built_straight winding_reading length_reading "
     "caliper_reading"), (0.01, 20, "g", "scale_reading"), (0.001, 1, "turns", "turn_reading"),
    (0.05, 5, "%", "meter_error oven_error room_error unsettled_start"),
    (0.005, 0.5, "1", "stiffness_as_built hygrometer_reading home_humidity_off"),
    (0.1, 10, "degrees", "grain_read"), (0.05, 1, "1", "turn_reaches"), (0.1, 5, "frets", "dead_note_off"),
    (-3, 0, "1", "loss_factor_log10 loss_factor_exponent"),
    (0.2, 3, "1", "loss_ordinary_factor loss_tropical_factor loss_extractive-rich_factor "
     "loss_composite_factor"), (0, 1, "1", "rod_friction tang_kept supply_cov_modulus"),
    (1e-7, 1e-4, "1/K", "thermal_expansion_lengthwise"), (0, 5, "degrees", "within_wind within_spiral"),
    (0, 5, "%", "within_fall within_fall_near_pith"),
    (0.01, 1, "m", "within_pith within_pith_near_pith within_core"),
    (1e-6, 0.1, "1", "string_friction_plain_new string_friction_plain_played string_bending_plain_new "
     "string_bending_plain_played string_friction_wound_new string_friction_wound_played "
     "string_bending_wound_new string_bending_wound_played"),
    (2, 30, "1", "diffusion_along_ratio modulus_over_shear"),
    (5, 50, "GPa", "modulus_from_density_factor"),
    (4, 40, "%", "volumetric_shrinkage volumetric_shrinkage_tropical volumetric_shrinkage_extractive-rich "
     "fibre_saturation fibre_saturation_tropical "
     "intersection_moisture movement_range loss_level_below"), (0.05, 1, "%", "shrinkage_longitudinal"),
    (0, 0.2, "1/%", "loss_per_moisture"), (1e-6, 1e-4, "Pa s", "air_viscosity"),
    (0.5, 2, "kg/m3", "air_density"), (100, 1500, "kg/m3", "diffusion_density_fall finish_test_density"),
    (1e-6, 0.1, "m", "glue_line_thickness finish_test_thickness saw_kerf planing_each_face end_trim "
     "board_beyond_last_fret heel_bolt_on heel_set heel_neck_through"),
    (0.01, 0.5, "m", "blank_beyond_nut blank_beyond_bridge"),
    (1e-12, 1e-8, "m2/s", "diffusion_at_400 finish_test_diffusivity"),
    (1e-9, 1e-5, "m/s", "surface_emission"),
    (10, 1e6, "N m2", "body_bending_stiffness body_twist_stiffness body_side_stiffness"),
    (0.5, 10, "kg", "body_mass"), (1e-4, 0.2, "1", "body_loss instrument_added_loss"),
    (0.05, 1, "1", "strap_friction"), (0.01, 0.5, "m", "strap_limit_doubt thigh_carries"),
    (0.5, 50, "N", "press_heavy"), (0.001, 1, "mm", "bow_shows relief_usual"),
    (0.001, 5, "degrees", "twist_shows"),
    (0, 25, "C", "cooled_dew_point"), (10, 35, "C", "cooled_to"), (0.5, 15, "C", "free_heat hourly_spread"))

_ROOMS = {"heated_to": Number(10, 30, "C"), "cooled_share": Number(0, 100, "%")}
_HUMIDITY = Number(1, 100, "%")

_SOURCE = {"source": ("sources.csv", "key", ())}
_WOOD = ("species.csv", "key")
_STANDING: dict[str, Any] = dict(source=str, place=str, status=STATUSES, note=str)
_WIDE = Number()

TABLES: dict[str, Table] = {
    "sources.csv": Table(columns=dict.fromkeys(("key", "citation", "kind", "rights"), str), keys=(("key",),),
                         needs={"key": ("common", "derived", "memory", "judgement")}, least=92),
    "species.csv": Table(columns=dict(key=str, name=str, botanical=str, group=GROUPS, uses=str, synonyms=str,
                                      loss_class=LOSS_CLASSES),
                         optional=("synonyms",), keys=(("key",), ("name",)), least=118),
    "tones.csv": Table(columns=dict(wood=str, tone=str, source=str, status=STATUSES),
                       keys=(("wood",), ("tone",)), refers={"wood": (*_WOOD, ()), **_SOURCE}, least=118),
    "properties.csv": Table(
        columns=dict(species=str, property=tuple(PROPERTIES), use=("main", "alternative"), value=_WIDE,
                     unit=str, cov=Number(0.005, 0.9, "(a fraction)"), **_STANDING),
        optional=("cov", "note"), keys=(("species", "property", "use", "value", "source", "place", "note"),),
        refers={"species": (*_WOOD, ()), **_SOURCE}, quantity="property", quantities=PROPERTIES, least=1630),
    "rules.csv": Table(
        columns=dict(rule=str, value=_WIDE, sd=Number(0, math.inf), count=Number(2, math.inf), low=_WIDE,
                     high=_WIDE, unit=str, **_STANDING),
        optional=("sd", "count", "low", "high", "note"), keys=(("rule",),), needs={"rule": tuple(_RULES)},
        refers=_SOURCE, quantity="rule", quantities=_RULES, least=131),
    "cautions.csv": Table(
        columns=dict(species=str, kind=CAUTION_KINDS, statement=str, source=str, status=STATUSES, read=str),
        optional=("read",), keys=(("species", "kind", "statement"),), needs={"species": ("all",)},
        refers={"species": (*_WOOD, ("all",)), **_SOURCE}, least=134),
    "materials.csv": Table(
        columns=dict(material=str, name=str, property=tuple(_MATERIALS), value=_WIDE, low=_WIDE, high=_WIDE,
                     unit=str, **_STANDING),
        optional=("low", "high", "note"), keys=(("material", "property"),), refers=_SOURCE,
        quantity="property", quantities=_MATERIALS, least=77),
    "hardware.csv": Table(
        columns=dict(part=str, name=str, kind=("each", "per string", "per fret"),
                     value=Number(0.1, 2000, "g"), low=Number(0.1, 2000, "g"), high=Number(0.1, 2000, "g"),
                     unit=("g",), **_STANDING),
        optional=("note",), keys=(("part",),), refers=_SOURCE, least=13),
    "neck_readings.csv": Table(
        columns=dict(kind=str, words=str, unit=("g", "mm", "turns", "%", "fret"), low=_WIDE, high=_WIDE,
                     done=("in the workshop", "at home"), needs=str, how=str, **_STANDING),
        optional=("needs", "note"), keys=(("kind",),), refers=_SOURCE, least=10),
    "finishes.csv": Table(
        columns=dict(finish=str, coats=Number(0, 12, "coats", True), days=Number(1, 365, "days", True),
                     effectiveness=Number(0, 100, "%"), unit=("%",), **_STANDING),
        optional=("note",), keys=(("finish", "coats", "days"),), needs={"finish": ("unfinished",)},
        refers=_SOURCE, least=32),
    "meter_woods.csv": Table(
        columns=dict(species=str, intercept=Number(1.4, 2.0), slope=Number(-0.2, -0.05), unit=("1",),
                     **_STANDING),
        optional=("note",), keys=(("species",),), needs={"species": ("douglas_fir",)},
        refers={"species": (*_WOOD, ()), **_SOURCE}, least=9),
    "meter_temperature.csv": Table(
        columns=dict(temperature=Number(0, 50, "C"), reading=Number(6, 25, "%"),
                     correction=Number(-8, 8, "%"), unit=("%",), **_STANDING),
        optional=("note",), keys=(("temperature", "reading"),), refers=_SOURCE, least=121),
    "temperature_effects.csv": Table(
        columns=dict(property=("modulus", "modulus_across", "bending_strength"),
                     moisture=Number(0, 30, "%"), temperature=Number(-50, 50, "C"),
                     change=Number(-60, 150, "%"), unit=("%",), **_STANDING),
        optional=("note",), keys=(("property", "moisture", "temperature"),), refers=_SOURCE, least=13),
    "hearing.csv": Table(
        columns=dict(quantity=tuple(_HEARING), value=_WIDE, unit=str, **_STANDING), optional=("note",),
        keys=(("quantity",),), needs={"quantity": tuple(_HEARING)}, refers=_SOURCE, quantity="quantity",
        quantities=_HEARING, least=8),
    "billets.csv": Table(
        columns=dict(billet=str, length=Number(100, 3000, "mm"), width=Number(10, 1000, "mm"),
                     thickness=Number(3, 300, "mm"), mass=Number(10, 50000, "g"), humidity=_HUMIDITY,
                     ring_angle=Number(0, 90, "degrees"), recording=str, drawn_as=str, note=str),
        keys=(("billet",),), refers={"drawn_as": (*_WOOD, ())}, least=2),
    "claims.csv": Table(
        columns=dict(key=str, lesson=str, claim=str, causes=str, contains=str, leaves_out=str, answer=str,
                     sure=("high", "medium", "low"), source=str, status=STATUSES),
        keys=(("key",),), refers=_SOURCE, least=48),
    "glossary.csv": Table(columns=dict.fromkeys(("term", "given_in", "lessons", "meaning"), str),
                          optional=("given_in",), keys=(("term",),), least=49),
    "measured_guitars.csv": Table(
        columns=dict(key=str, group=str, what=str, compared=str, value=_WIDE, low=_WIDE, high=_WIDE,
                     unit=("Hz", "dB", "mm", "N", "g", "s/kg", "%", "fret", "1", "qualitative"), count=str,
                     condition=str, **_STANDING),
        optional=("compared", "value", "low", "high", "count", "condition", "note"), keys=(("key",),),
        refers=_SOURCE, least=31),
    "board_stiffness.csv": Table(
        columns=dict(board=Number(1, 30, "1", True), **dict.fromkeys(
            ("shock_wave", "vibration", "static_a", "static_b"), Number(500, 5000)), **_STANDING),
        optional=("note",), keys=(("board",),), refers=_SOURCE, least=30),
    "tap_errors.csv": Table(
        columns=dict(boards=Number(1, 1000, "1", True), case=str, **dict.fromkeys(
            ("frequency_median", "frequency_95th", "loss_median", "loss_95th", "within", "refused"),
            Number(0, 100, "%")), **_STANDING),
        optional=("frequency_median", "frequency_95th", "loss_median", "loss_95th", "within", "note"),
        keys=(("boards", "case"),), refers=_SOURCE, least=24),
    "made_necks.csv": Table(
        columns=dict(told=("drawing", "earlier", "stock"), neck=str, wood=str,
                     number=Number(1, 100, "1", True), kind=str, source=str, status=STATUSES,
                     **dict.fromkeys(("low", "middle", "high", "read"), Number(-1, 20))),
        keys=(("told", "neck", "number"),), needs={"told": ("drawing", "earlier", "stock")},
        refers={**_SOURCE, "wood": ("species.csv", "key", ())}, least=405),
    "climate.csv": Table(
        columns=dict(place=str, month=Number(1, 12, "1", True), temperature=Number(-45, 50, "C"),
                     humidity=_HUMIDITY, vapour=Number(0.1, 60, "hPa"), equilibrium=Number(2, 25, "%")),
        optional=("temperature", "humidity", "vapour", "equilibrium"), keys=(("place", "month"),),
        refers={"place": ("towns.csv", "place", ())}, least=1392),
    "towns.csv": Table(
        columns=dict(**dict.fromkeys(("country", "station", "region", "period", "place_in_source"), str),
                     continent=CONTINENTS, **_STANDING),
        optional=("station", "region", "place_in_source", "note"), keys=(("place",),),
        refers={"region": ("rooms.csv", "region", ("",)), **_SOURCE}, least=116),
    "rooms.csv": Table(
        columns=dict(region=str, fact=tuple(_ROOMS), value=_WIDE, unit=str, **_STANDING), optional=("note",),
        keys=(("region", "fact"),), refers=_SOURCE, quantity="fact", quantities=_ROOMS, least=56),
    "indoor_humidity.csv": Table(
        columns=dict(**dict.fromkeys(("measured_in", "building", "season", "months", "conditioning", "town",
                                      "year"), str), humidity=_HUMIDITY, low=_HUMIDITY, high=_HUMIDITY,
                     temperature=Number(0, 45, "C"), readings=Number(1, 1e5, "1", True), **_STANDING),
        optional=("humidity", "temperature", "readings", "year", "note"),
        keys=(("measured_in", "season", "conditioning"),),
        refers={"town": ("towns.csv", "place", ()), **_SOURCE}, least=23),
}
"""Every table of the data folder, by file name."""
