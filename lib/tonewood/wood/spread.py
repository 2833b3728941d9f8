"""Natural variability: possible boards drawn from a wood's published scatter, with stiffness and density
correlated.

Stiffness, density and cross-grain swelling are lognormal and keep the species mean; lengthwise swelling is
uniform over its published range; the loss factor is lognormal about its point value with the stated 90 %
band. Draws outside what a board accepts (checks.MODULUS_LIMITS, checks.DENSITY_LIMITS, a loss factor of 0.5)
are set to that limit: of ipe, where it happens most, the stiffness of about one draw in 9000. A board that
the builder has measured scatters by what its readings leave open; stripes ripped from it scatter about it
besides, by the part of the wood's variance that lies within a board (rule kinship_same_board, judgement).

Moduli across the grain and in shear that a rule filled, because nobody measured them for this wood, scatter
about the rule as woods of its group do (filled_ratios): one error for all boards of the wood,
since the rule is off for all of them alike. How those ratios vary between boards of one wood is left out.

Sources: coefficients of variation and the between-tree share from BRE Report BR 241; correlation of density
and stiffness within a species from memory, unverified; all of them in data/rules.csv with their status.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from tonewood import checks
from tonewood.draws import Z90, Array, Draws, normal_share
from tonewood.remember import remember
from tonewood.wood.elastic import MODULI, Elastic
from tonewood.wood.facts import rule
from tonewood.wood.own import stated
from tonewood.wood.species import species

if TYPE_CHECKING:
    from tonewood.wood.board import Board
    from tonewood.wood.species import Species

    # Draws, seed, and (weight, stream) of each independent part of a fate; squares of weights add up to 1.
    Key = tuple[int, int, tuple[tuple[float, int], ...]]

KINSHIP = ("different trees", "same tree", "same board")
"""Where stripes of one wood can come from; how alike that makes them stands in data/rules.csv."""

SUPPLIES = ("one delivery", "bought anywhere")
"""Where the builder's boards come from: lots of mostly single origin, as those behind cov_modulus of most
woods; or the wood's whole range, which scatters more (supply_cov_modulus of data/rules.csv)."""

COLUMNS = ("modulus", "density", "C_T", "C_R", "C_L", "loss")


def _locked(array: Any) -> Array:
    array.setflags(write=False)
    return array


@remember(256)
def _normals(draws: int, seed: int, stream: int) -> Array:
    """Standard normals (len(COLUMNS), draws) of one stream; streams are independent of each other and stable
    when others are added."""
    return _locked(np.random.default_rng([seed, stream]).standard_normal((len(COLUMNS), draws)))


def mean_keeping_factor(z: Draws, cov: float) -> Draws:
    """Lognormal factor with mean 1 and coefficient of variation `cov`, from standard normals z (any shape).
    Definition. Raises ValueError.
    >>> round(float(mean_keeping_factor(1.0, 0.1)), 4)
    1.0994
    """
    z = checks.number("standard normal", z, -40.0, 40.0)
    checks.fraction("coefficient of variation", cov)
    sigma = np.sqrt(np.log1p(cov**2))
    return np.exp(sigma * z - sigma**2 / 2)


def likeness(kinship: str) -> float:
    """Correlation between two stripes of one wood that come from `kinship` (name in KINSHIP), 0 to 1. Raises
    ValueError.

    Source: data/rules.csv, from BRE BR 241 lots (same tree) and judgement (same board).
    >>> likeness("different trees")
    0.0
    """
    return rule("kinship_" + checks.choice("kinship", kinship, KINSHIP).replace(" ", "_")).value


def scatter_of_modulus(wood: Species, supply: str = "one delivery") -> float:
    """Coefficient of variation (fraction) of the modulus between boards of a wood from this supply, of
    SUPPLIES; bought anywhere: at least that of woods over their range. Raises ValueError.

    >>> from tonewood.wood.species import species
    >>> [scatter_of_modulus(species("hard maple"), supply) for supply in SUPPLIES]
    [0.14, 0.21]
    """
    if checks.choice("boards", supply, SUPPLIES) == "one delivery" or wood.one_board:
        return wood.cov_modulus
    return max(wood.cov_modulus, rule("supply_cov_modulus").value)


def draw_boards(boards: Iterable[Board], draws: int = 1000, seed: int = 0, kinship: str = "different trees",
                planks: Sequence[object] | None = None, supply: str = "one delivery",
                streams: Sequence[int] | None = None, woods: Sequence[str] = (), ripped: bool | None = None
                ) -> list[Board]:
    """Possible versions of each board.

    boards: Boards with single values; draws: how many; seed: whole number; kinship: where stripes of one wood
    come from, one of KINSHIP. planks: None, or a label for each board; boards of one wood with the same label
    were sawn from one plank and are as alike as "same board" says, whatever `kinship` says of the planks.
    supply: one of SUPPLIES; it sets how far the moduli of boards that were not measured scatter. streams: for
    each board the whole number of its own stream of chance, below 10 000 (None: its place in the list), and
    woods: keys in the order that numbers the chance a wood's boards share (those not named follow as they
    come): give both the same wherever differences between lay-ups are to be free of chance. ripped: whether
    pieces of one measured board are stripes that scatter about it (None: where the list holds more than one
    of it; a single piece is taken to be the board as it was measured).
    Returns a list of Boards whose modulus, density, swelling and loss (and constants, where a rule filled
    some) are arrays (draws,), at each board's own moisture content. Boards that already carry draws are
    returned as they are. Raises ValueError.
    >>> from tonewood.wood.board import Board
    >>> from tonewood.wood.species import species
    >>> draw_boards([Board(species("wenge"))], 50)[0].E_L.shape
    (50,)
    """
    r, same = likeness(kinship), max(likeness(kinship), likeness("same board"))
    boards, draws = list(boards), checks.whole("draws", draws, 1, 1_000_000)
    if planks is not None and len(planks) != len(boards):
        raise ValueError(f"planks: {len(planks)} labels given; accepted: {len(boards)}, one for each board")
    sawn_from = list(zip(planks or range(len(boards)), (board.species.key for board in boards), strict=True))
    shared = [plank for plank in dict.fromkeys(sawn_from) if sawn_from.count(plank) > 1]
    names = list(dict.fromkeys([*woods, *(board.species.key for board in boards)]))
    if streams is not None and len(streams) != len(boards):
        raise ValueError(f"streams: {len(streams)} numbers given; accepted: {len(boards)}, one for each "
                         "board")
    own = range(len(boards)) if streams is None else [checks.whole("stream", s, 0, 9999) for s in streams]
    out = []
    for i, board in enumerate(boards):
        if board.draws is not None:
            out.append(board)
            continue
        name = names.index(board.species.key)
        alone: Key | None = None
        if board.species.one_board:             # what its readings leave open is shared by all its stripes
            parts = [(1.0, 40_000 + name)]
            if ripped or ripped is None and sum(b.species is board.species for b in boards) > 1:
                alone = draws, seed, ((1.0, own[i]),)
        elif sawn_from[i] in shared:
            parts = [(np.sqrt(1 - same), own[i]), (np.sqrt(same - r), 30_000 + shared.index(sawn_from[i]))]
        else:
            parts = [(np.sqrt(1 - r), own[i])]
        if r and not board.species.one_board:
            parts.append((np.sqrt(r), 10_000 + name))
        key = draws, seed, tuple((float(w), stream) for w, stream in parts)
        # The band of the loss factor says how well a wood's value is known, not how boards differ; so does
        # the quarrel of the sources about its mean stiffness: one error for all stripes of a wood.
        of_the_wood = draws, seed, ((1.0, 20_000 + name),)
        filled = board.constants or _filled(board.species, draws, seed, 50_000 + name)
        out.append(board.trusted(constants=filled, **_drawn(board, key, of_the_wood, supply, alone)))
    return out


@remember(256)
def _z(draws: int, seed: int, parts: tuple[tuple[float, int], ...]) -> Array:
    """Standard normals (len(COLUMNS), draws), the sum of weighted streams; kept, since a slider step draws
    the same boards anew."""
    return _locked(sum(weight * _normals(draws, seed, stream) for weight, stream in parts))


@remember(256)
def _factor(key: Key, column: str, cov: float, together: float | None = None) -> Array:
    """Lognormal factor (draws,) of one column; together: correlation with the column of the modulus, for the
    density."""
    z = _z(*key)
    own = z[COLUMNS.index(column)]
    if together is not None:
        own = together * z[COLUMNS.index("modulus")] + np.sqrt(1 - together**2) * own
    return _locked(mean_keeping_factor(own, cov))


@remember(256)
def _share_below(key: Key, column: str) -> Array:
    """Share of the standard normal below each draw, (draws,): uniform between 0 and 1."""
    return _locked(normal_share(_z(*key)[COLUMNS.index(column)]))


def filled_ratios(wood: Species) -> dict[str, float]:
    """How far each modulus of a wood that a rule filled may lie from the rule: {"G_LR": coefficient of
    variation, a fraction}, that of one wood among those of its group; what was read is not in it.

    >>> from tonewood.wood.species import species
    >>> {name: round(cov, 2) for name, cov in filled_ratios(species("hard maple")).items()}
    {'G_RT': 0.57}
    """
    facts = {name: wood.fact(f"{name}_ratio") for name in MODULI}
    return {name: fact.cov for name, fact in facts.items() if fact.source == "derived" and fact.cov}


def scattered(elastic: Elastic, z: Array, cov: Sequence[float]) -> Elastic:
    """`elastic` (single values) with each of elastic.MODULI times a lognormal factor of mean 1 and its
    coefficient of variation `cov` (5,), from standard normals z (5, D); E_L kept. Elastic of (D,), Pa.

    Cut off at 2.5 standard deviations, and where a modulus would exceed E_L. Poisson's ratios follow by the
    square roots of the moduli, so that every draw stays as physically possible as the wood itself. Raises
    ValueError. Derived: the determinants of the compliance then scale with the moduli.

    >>> from tonewood.wood.species import species
    >>> scattered(species("wenge").elastic, np.zeros((5, 3)), [0.0] * 5).G_LR.shape
    (3,)
    """
    e, z = elastic, np.asarray(checks.number("z", z))
    factor = {name: np.minimum(mean_keeping_factor(row, scatter), e.E_L / getattr(e, name))
              for name, row, scatter in zip(MODULI, np.clip(z, -2.5, 2.5), cov, strict=True)}
    R, T = factor["E_R"], factor["E_T"]
    return Elastic(E_L=np.full_like(R, e.E_L), **{name: getattr(e, name) * by for name, by in factor.items()},
                   nu_LR=e.nu_LR / np.sqrt(R), nu_LT=e.nu_LT / np.sqrt(T),
                   nu_RT=np.minimum(e.nu_RT * np.sqrt(R / T), 2.0))


@remember(256)
def _filled(wood: Species, draws: int, seed: int, stream: int) -> Elastic | None:
    """The wood's constants with what the rules leave open of them drawn; None where every modulus was
    read."""
    if not (cov := filled_ratios(wood)):
        return None
    z = _normals(draws, seed, stream)[:len(MODULI)]
    return scattered(wood.elastic, z, [cov.get(name, 0.0) for name in MODULI])


def within_board(wood: Species, quantity: str = "modulus") -> tuple[float, float]:
    """Coefficients of variation (of the whole, of a stripe about the whole) of one measured board's modulus
    or density, where stripes are ripped from it.

    The wood's variance is split by the rule kinship_same_board: that share lies between boards, the rest
    within each. What the readings leave open told a board against the whole variance; against its share it is
    a little less (Bayes for normal errors), and with nothing read it is that share. That all pieces of a
    board together are what was measured is left out: whoever uses the whole board gets a narrower band.
    Raises ValueError.
    >>> from tonewood.wood.own import OwnWood
    >>> board = OwnWood(name="Mill maple 3", like="hard maple", one_board=True, E_L=13e9, modulus_error=0.03)
    >>> [round(cov, 4) for cov in within_board(board.wood())]
    [0.0298, 0.07]
    """
    checks.choice("quantity", quantity, ("modulus", "density"))
    left = wood.cov_modulus if quantity == "modulus" else wood.cov_density
    own, of_group = stated(wood), f"{wood.group}_" if quantity == "modulus" else ""
    kind = own and own.like
    usual = (species(kind).fact(f"cov_{quantity}") if kind else rule(f"{of_group}cov_{quantity}")).value
    same = likeness("same board")
    whole = left / np.sqrt(1 + (1 - same) / same * (left / usual) ** 2)
    return float(whole), float(np.sqrt(1 - same) * usual)


def _drawn(board: Board, key: Key, of_the_wood: Key, supply: str, alone: Key | None) -> dict[str, Any]:
    """alone: the chance of one stripe ripped from a measured board, None for a board by itself."""
    wood = board.species
    cov_modulus = board.modulus_error if board.modulus is not None else scatter_of_modulus(wood, supply)
    cov_density = board.density_error if board.density is not None else wood.cov_density
    apart: tuple[Draws, Draws] = (1.0, 1.0)
    moves = key
    if alone:
        (cov_modulus, stiff), (cov_density, heavy) = (within_board(wood, q) for q in ("modulus", "density"))
        usual = rule("correlation_density_modulus").value
        apart = _factor(alone, "modulus", stiff), _factor(alone, "density", heavy, usual)
        same = likeness("same board")
        moves = *key[:2], tuple((float(np.sqrt(part)), stream) for part, ((_, stream),) in
                                ((same, key[2]), (1 - same, alone[2])))
    E_L = board.E_L * _factor(key, "modulus", cov_modulus) * apart[0]
    if board.modulus is None and wood.cov_modulus_sources > 0:
        E_L = E_L * _factor(of_the_wood, "modulus", wood.cov_modulus_sources)
    swelling = board.swelling
    if swelling is None:
        low, high = wood.longitudinal_range
        _, radial, tangential = wood.swelling
        rule_off = _factor(of_the_wood, "C_T", wood.cov_movement_rule) if wood.cov_movement_rule else 1.0
        across = (usual * _factor(moves, way, wood.cov_swelling) * rule_off
                  for way, usual in (("C_R", radial), ("C_T", tangential)))
        across = (np.minimum(moves, checks.SWELLING_LIMITS[1]) for moves in across)
        across_R, across_T = across
        swelling = low + (high - low) * _share_below(moves, "C_L"), across_R, across_T
    density = board.rho * _factor(key, "density", cov_density, wood.correlation) * apart[1]
    spread_of_loss = board.loss_band ** (_z(*of_the_wood)[COLUMNS.index("loss")] / Z90)
    return {"modulus": np.clip(E_L, *checks.MODULUS_LIMITS),
            "density": np.clip(density, *checks.DENSITY_LIMITS), "swelling": swelling,
            "loss": np.minimum(board.eta_L * spread_of_loss, 0.5)}
