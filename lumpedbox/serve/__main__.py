"""Lets `python -m lumpedbox.serve` do what the command `lumpedbox` does."""

from . import main

main()
