"""The control by which a learner chooses metric or inches and ounces."""

from __future__ import annotations

from tonewood.panel import chosen, units
from tonewood.panel.controls import Pick


class UnitsPick(Pick):
    """The choice between metric and inches and ounces, for all that stands on the page (`panel.chosen`)."""

    def __init__(self) -> None:
        super().__init__("Units", [units.METRIC, units.INCH], chosen.now(),
                         "for all figures and sliders here and in the next lessons; what is printed between "
                         "them follows when it is run again. Stiffness (GPa, N·m²), density and temperature "
                         "stay as the sources print them")
        self.observe(lambda change: chosen.choose(change["new"]), names="value")
        chosen.follow(self)

    def in_units(self) -> None:
        """Stand where the choice stands."""
        self.value = chosen.now()
