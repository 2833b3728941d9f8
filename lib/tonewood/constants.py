"""What is exact by definition, in one place."""

GRAVITY = 9.80665
"""N that one kg pulls with: standard gravity, exact by definition (1901)."""
INCH = 0.0254
"""Metres in an inch, exact by definition (1959)."""
POUND = 0.45359237
"""Kilograms in a pound (avoirdupois), exact by definition (1959)."""
DAY = 86400.0
"""Seconds in a day."""
YEAR = 365.25 * DAY
"""Seconds in a Julian year."""
