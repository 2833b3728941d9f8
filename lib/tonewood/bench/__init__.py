"""What a builder measures: weigh, bend, tap, and what that tells about the board in hand."""
