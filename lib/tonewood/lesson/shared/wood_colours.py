"""Drawing tones of the woods, each its own (data/tones.csv): a guess of ours at the heartwood (of maple and
ash the sapwood) from descriptions in words, by eye and for telling stripes apart; not measured, no colour
standard, and not what a board looks like under a finish or after years of light."""

from __future__ import annotations

from tonewood.tables import read_table
from tonewood.wood.own import stated
from tonewood.wood.species import Species
from tonewood.wood.species import species as wood

TONES = {row["wood"]: row["tone"] for row in read_table("tones.csv")}
"""{wood: colour}."""


def tone(species: Species) -> str:
    """Colour (hex) in which a Species is drawn: an own wood as the one it is or resembles, else as oak or
    spruce."""
    while (own := stated(species)) and own.like:
        species = wood(own.like)
    return TONES[species.key if not own else "european_oak" if species.group == "hardwood" else
                 "norway_spruce"]


def lightness(colour: str) -> float:
    """How light a colour (hex) looks, 0 black to 1 white: the cube root of its luminance, as lightness is
    reckoned in colour science (CIE 1976 L*, without its straight part near black)."""
    channels = (int(colour[i:i + 2], 16) / 255 for i in (1, 3, 5))
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return max(1.16 * (0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]) ** (1 / 3) - 0.16, 0.0)
