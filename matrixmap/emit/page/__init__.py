"""The page to try layouts on."""
