"""What one looks at: axes in, (axes, artists) out. Figures draw and compute nothing."""
