"""What every page is made of: controls, scenes, pictures, exercises, what is kept."""
