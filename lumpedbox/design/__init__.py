"""What to choose: networks, levels, alignments."""
