"""Files written: begun, and put in order."""
