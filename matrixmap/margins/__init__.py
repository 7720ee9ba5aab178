"""The margins of a board, in volts, times and currents: closed contacts read low, in time, and the supply holds."""
