"""The laminated section along the neck: areas, stiffness, torsion, loss."""
