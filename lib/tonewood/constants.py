"""What is exact by definition, in one place."""

GRAVITY = 9.80665
"""N that one kg pulls with: standard gravity, exact by definition (1901)."""
INCH = 0.0254
"""Metres in an inch, exact by definition (1959)."""
