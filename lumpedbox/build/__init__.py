"""What to cut: from a design to wood."""
