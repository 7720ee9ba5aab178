"""Commands that play keyboards against the runtime and the machine."""
