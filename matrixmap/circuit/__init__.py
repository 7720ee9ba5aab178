"""What a machine reads for a set of closed contacts."""
