"""Boards laid up into a neck: geometry, section stiffness, relief, movement, torsion."""
