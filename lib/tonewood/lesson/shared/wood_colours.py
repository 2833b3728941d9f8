"""Drawing tones of the woods: how light or dark each is drawn. By eye, for telling stripes apart, not a
colour standard."""

from __future__ import annotations

from tonewood.wood.species import Species

TONES = {
    "hard maple": "#ecd9b4", "soft maple": "#e4cda6", "bigleaf maple": "#e7d2ab", "silver maple": "#ead8b9",
    "black maple": "#e6d0a8",
    "black walnut": "#6b4a35", "butternut": "#b58f66", "black cherry": "#b9784f", "white ash": "#dcc6a0",
    "green ash": "#d8c19a", "black ash": "#c9ad82",
    "Sitka spruce": "#efdcb4", "Engelmann spruce": "#f3e4c3", "red spruce": "#ecd6ad",
    "yellow-poplar": "#cfc98f", "basswood": "#eee0c4",
    "red alder": "#d3a983", "mahogany": "#a4623d", "African mahogany": "#b3714a", "sapele": "#8f4f33",
    "limba": "#d8b877", "African padauk": "#a23c22",
    "wenge": "#3d2c22", "purpleheart": "#6d3a5a", "bubinga": "#8a4336", "African ebony": "#1f1a18",
    "Indian rosewood": "#4c2e2a",
    "Brazilian rosewood": "#5d3426", "Honduran rosewood": "#6e4038", "ovangkol": "#85603b",
    "zebrano": "#b98f52", "koa": "#a96a3a",
    "western redcedar": "#b77a52", "cocobolo": "#7a3320", "goncalo alves": "#9a5a34", "teak": "#a57a45",
    "iroko": "#a57c48",
}
BY_GROUP = {"softwood": "#ead3a6", "hardwood": "#b98f66"}


def tone(species: Species) -> str:
    """Colour (hex) in which a Species is drawn: its own tone, or that of its group."""
    return TONES.get(species.key, TONES.get(species.name, BY_GROUP[species.group]))
