"""What rings: modes of the instrument, decay of each note, the attack, and sound to listen to."""
