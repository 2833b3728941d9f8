"""Mechanics of laminated guitar necks for teaching: wood, neck, sound, and what a learner can slide."""

__version__ = "0.1.0"
