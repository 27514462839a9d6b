"""What one touches: the only users of ipywidgets."""
