"""One board: species, elastic constants and their rotation, moisture, damping, natural spread."""
