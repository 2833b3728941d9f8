"""What the builder decides: stripes, their order and turns, shape, fretboard, reinforcement."""
