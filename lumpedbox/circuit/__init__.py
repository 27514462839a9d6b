"""The analogous circuit: its elements, how parts become it, how it is solved, described and written as a netlist."""
