"""Files for an adapter on a machine: the drawing of its connectors, the checklist, the netlist, the C code."""
