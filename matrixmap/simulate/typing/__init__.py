"""What hands do on a keyboard, and the reports that result."""
