"""Drawing tones of the woods, each its own: a guess of ours at the heartwood (of maple and ash the sapwood)
from descriptions in words, by eye and for telling stripes apart; not measured, no colour standard, and not
what a board looks like under a finish or after years of light."""

from __future__ import annotations

from tonewood.wood.own import stated
from tonewood.wood.species import Species
from tonewood.wood.species import species as wood

TONES = {
    "hard_maple": "#e6cfae", "black_maple": "#e4cca9", "red_maple": "#e3c9a6", "bigleaf_maple": "#e1c49c",
    "silver_maple": "#e4cdac", "black_walnut": "#6b4a33", "butternut": "#b48a5e", "black_cherry": "#a9683f",
    "white_ash": "#dcc6a0", "green_ash": "#dac39b", "black_ash": "#a88661", "oregon_ash": "#c3a57e",
    "yellow_poplar": "#b9a874", "basswood": "#e5d3b0", "red_alder": "#d1a67f", "american_beech": "#cfa582",
    "yellow_birch": "#c99f73", "sweet_birch": "#a87550", "paper_birch": "#d8b78e", "black_locust": "#a8884a",
    "honeylocust": "#b06f4a", "white_oak": "#b8925f", "red_oak": "#c29570", "mockernut_hickory": "#bd9062",
    "american_sycamore": "#c39a78", "hackberry": "#d2b98c", "sweetgum": "#a8765a", "sassafras": "#a98c66",
    "american_chestnut": "#b08a5c", "quaking_aspen": "#e3d6bc", "southern_magnolia": "#b7a678",
    "osage_orange": "#c98f1e", "koa": "#a8683a", "sitka_spruce": "#ddbb92", "engelmann_spruce": "#e9d8b7",
    "red_spruce": "#e4cda3", "white_spruce": "#e8d6b2", "western_redcedar": "#a9714d",
    "port_orford_cedar": "#dfc48f", "yellow_cedar": "#e3c982", "redwood": "#97543a", "douglas_fir": "#c58a56",
    "western_larch": "#b0774a", "eastern_white_pine": "#ddb981", "longleaf_pine": "#cc9454",
    "baldcypress": "#b98e5a", "mahogany": "#97542f", "african_mahogany": "#a15f3c", "sapele": "#8a4a2c",
    "limba": "#d3b47c", "african_padauk": "#9b3a22", "wenge": "#3b2a20", "purpleheart": "#6b3a56",
    "bubinga": "#8c4433", "ovangkol": "#8a6539", "benge": "#9a7040", "zebrano": "#b8935b",
    "african_ebony": "#1f1a18", "indian_rosewood": "#4f3328", "brazilian_rosewood": "#5a3423",
    "honduran_rosewood": "#7a4a3c", "cocobolo": "#8a3f1f", "macawood": "#8a4028", "goncalo_alves": "#9a5b33",
    "jatoba": "#9a5432", "ipe": "#5d4a30", "greenheart": "#6e6a3f", "degame": "#d9c08a",
    "afrormosia": "#9c7038", "jarrah": "#7a3524", "iroko": "#a3763c", "teak": "#a67b42",
    "spanish_cedar": "#a8694a", "okoume": "#c48f70", "obeche": "#e6d5a4", "ramin": "#e8dcb8",
    "primavera": "#dcc08a", "avodire": "#dfc27e", "balsa": "#eadfc6", "sycamore_maple": "#ebddc0",
    "european_ash": "#dec9a1", "european_beech": "#cfa37d", "european_alder": "#cfa176",
    "european_lime": "#e6d6b2", "norway_spruce": "#ebd9b0", "utile": "#87492f", "makore": "#93513a",
    "panga_panga": "#41301f", "european_walnut": "#80614a", "tasmanian_blackwood": "#91683a",
    "queensland_maple": "#bf8668", "nyatoh": "#a9694c", "dark_red_meranti": "#8a4636", "cumaru": "#8f6238",
    "canarywood": "#c48840", "laminated_bamboo": "#e0c88f", "pau_ferro": "#6e4030",
    "macassar_ebony": "#3e2a21", "african_blackwood": "#231b1e", "katalox": "#3d2329", "ziricote": "#4a3a2c",
    "bocote": "#96703d", "kingwood": "#57303a", "madagascar_rosewood": "#7f4a2e",
    "amazon_rosewood": "#85482b", "bloodwood": "#8e2a22", "merbau": "#7f4b2b", "european_oak": "#bc9a68",
    "sweet_chestnut": "#b89260", "european_cherry": "#bd8557", "african_walnut": "#8d6740",
    "muninga": "#a3672f", "wamara": "#3c2522", "roasted_maple": "#a8764a", "roasted_ash": "#8f6a45",
    "dyed_veneer": "#2f4b63", "paper_composite": "#2b2724", "glass_composite": "#4c5a4a",
}


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
