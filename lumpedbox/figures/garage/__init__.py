"""Paper to take into the garage: the box, its parts and 1:1 templates of its holes."""
