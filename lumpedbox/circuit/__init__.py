"""The analogous circuit: what it is made of, how parts become it, how it is solved, told and written as a netlist."""
