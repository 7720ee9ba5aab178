"""Whether closed contacts really read low, in time, and whether the supply holds: volts, times and currents of a board."""
