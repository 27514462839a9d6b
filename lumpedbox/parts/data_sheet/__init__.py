"""A driver from its data sheet: what is printed, what follows, what contradicts, what to ask."""
