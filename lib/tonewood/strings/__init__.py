"""Steel strings: wire, pitch, ready sets. Neck and sound both stand on them."""
