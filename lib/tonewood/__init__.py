"""Mechanics of laminated guitar necks for teaching: wood, neck, sound, and what a learner can slide."""

import os

# The matrix products here are small; several threads only get in each other's way (measured: five times slower on a busy two-core machine).
# Takes effect when NumPy has not been imported yet; whoever sets the variable keeps their choice.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

__version__ = "0.1.0"
