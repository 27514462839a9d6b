"""What the boxes are made of inside: rules for their fields, and plane geometry. Arrays in, arrays out, all SI."""
