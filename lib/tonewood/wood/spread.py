"""Natural variability: possible boards drawn from a wood's published scatter, with stiffness and density correlated.

Stiffness, density and cross-grain swelling are lognormal and keep the species mean; lengthwise swelling is uniform over its published
range; the loss factor is lognormal about its point value with the stated 90 % band. Scatter within one board shrinks to the measuring error
once the builder has measured it.

Sources: coefficients of variation and the between-tree share from BRE Report BR 241; correlation of density and stiffness within a species
from memory, unverified; all of them in data/rules.csv with their status.
"""

from dataclasses import replace
from functools import lru_cache

import numpy as np

from tonewood import checks
from tonewood.wood.facts import rule

KINSHIP = ("different trees", "same tree", "same board")
"""Where stripes of one wood can come from; how alike that makes them stands in data/rules.csv."""

COLUMNS = ("modulus", "density", "C_T", "C_R", "C_L", "loss")
Z90 = 1.6448536269514722


@lru_cache(maxsize=256)
def _normals(draws, seed, stream):
    """Standard normals (len(COLUMNS), draws) of one stream; streams are independent of each other and stable when others are added."""
    z = np.random.default_rng([seed, stream]).standard_normal((len(COLUMNS), draws))
    z.setflags(write=False)
    return z


def mean_keeping_factor(z, cov):
    """Lognormal factor with mean 1 and coefficient of variation `cov`, from standard normals z (any shape)."""
    sigma = np.sqrt(np.log1p(cov**2))
    return np.exp(sigma * z - sigma**2 / 2)


def likeness(kinship):
    """Correlation between two stripes of one wood that come from `kinship`, 0 to 1. Raises ValueError. Source: data/rules.csv, from BRE BR 241 lots
    (same tree) and judgement (same board)."""
    return rule("kinship_" + checks.choice("kinship", kinship, KINSHIP).replace(" ", "_")).value


def draw_boards(boards, draws=1000, seed=0, kinship="different trees", planks=None):
    """Possible versions of each board.

    boards: Boards with single values; draws: how many; seed: whole number; kinship: where stripes of one wood come from, one of KINSHIP.
    planks: None, or a label for each board; boards of one wood with the same label were sawn from one plank and are as alike as "same board" says,
    whatever `kinship` says of the planks. Returns a list of Boards whose modulus, density, swelling and loss are arrays (draws,), at each board's
    own moisture content. Boards that already carry draws are returned as they are. Raises ValueError.
    """
    r = likeness(kinship)
    boards = list(boards)
    if planks is not None and len(planks) != len(boards):
        raise ValueError(f"planks: {len(planks)} labels given; accepted: {len(boards)}, one for each board")
    sawn_from = [(label, board.species.key) for label, board in zip(planks or range(len(boards)), boards)]
    shared = [plank for plank in dict.fromkeys(sawn_from) if sawn_from.count(plank) > 1]
    same = max(r, likeness("same board"))
    if int(checks.number("draws", draws, 1, 1_000_000)) != draws:
        raise ValueError(f"draws: {draws:g} given; accepted: a whole number from 1 to 1000000")
    names = list(dict.fromkeys(b.species.key for b in boards))
    out = []
    for i, board in enumerate(boards):
        if board.draws is not None:
            out.append(board)
            continue
        # (weight, stream) of each independent part of this board's fate; the squares of the weights add up to 1.
        parts = [(np.sqrt(1 - same), i), (np.sqrt(same - r), 30_000 + shared.index(sawn_from[i]))] if sawn_from[i] in shared else [(np.sqrt(1 - r), i)]
        if r:
            parts.append((np.sqrt(r), 10_000 + names.index(board.species.key)))
        key = draws, seed, tuple((float(w), stream) for w, stream in parts)
        # The band of the loss factor says how well the wood's value is known, not how boards differ, and so does the quarrel of the sources
        # about its mean stiffness: one error for all stripes of a wood.
        of_the_wood = draws, seed, ((1.0, 20_000 + names.index(board.species.key)),)
        out.append(_drawn(board, key, of_the_wood))
    return out


@lru_cache(maxsize=256)
def _z(draws, seed, parts):
    """Standard normals (len(COLUMNS), draws), the sum of weighted streams; kept, since a slider step draws the same boards anew."""
    z = sum(weight * _normals(draws, seed, stream) for weight, stream in parts)
    z.setflags(write=False)
    return z


@lru_cache(maxsize=256)
def _factor(key, column, cov, together=None):
    """Lognormal factor (draws,) of one column; together: correlation with the column of the modulus, for the density."""
    z = _z(*key)
    own = z[COLUMNS.index(column)]
    if together is not None:
        own = together * z[COLUMNS.index("modulus")] + np.sqrt(1 - together**2) * own
    factor = mean_keeping_factor(own, cov)
    factor.setflags(write=False)
    return factor


@lru_cache(maxsize=256)
def _share_below(key, column):
    """Share of the standard normal below each draw, (draws,): uniform between 0 and 1."""
    from scipy.special import ndtr
    return ndtr(_z(*key)[COLUMNS.index(column)])


def _drawn(board, key, of_the_wood):
    wood = board.species
    cov_modulus = board.modulus_error if board.modulus is not None else wood.cov_modulus
    cov_density = board.density_error if board.density is not None else wood.cov_density
    E_L = board.E_L * _factor(key, "modulus", cov_modulus)
    if board.modulus is None and wood.cov_modulus_sources > 0:
        E_L = E_L * _factor(of_the_wood, "modulus", wood.cov_modulus_sources)
    if board.swelling is None:
        low, high = wood.longitudinal_range
        swelling = (low + (high - low) * _share_below(key, "C_L"), wood.swelling[1] * _factor(key, "C_R", wood.cov_swelling),
                    wood.swelling[2] * _factor(key, "C_T", wood.cov_swelling))
    else:
        swelling = board.swelling
    # No wood is denser than its cell wall, about 1500 kg/m3.
    density = np.minimum(board.rho * _factor(key, "density", cov_density, rule("correlation_density_modulus").value), 1500.0)
    spread_of_loss = board.loss_band ** (_z(*of_the_wood)[COLUMNS.index("loss")] / Z90)
    return replace(board, modulus=E_L, density=density, swelling=swelling, loss=np.minimum(board.eta_L * spread_of_loss, 0.5))
