"""What one can hold: frozen descriptions without a frequency in them."""
