"""The cautions that belong wherever wiring is shown."""

CAUTIONS = (
    "Switch the computer off and unplug it before you touch its connector.",
    "Check the alignment and pin 1 before you apply power; check twice if the connector has no blanked pin.",
    "Never drive a line that the computer also drives: open-drain outputs or analogue switches only.",
    "Inputs of a 3.3 V part must tolerate 5 V where the lines carry 5 V.",
    "Guard against static discharge.",
    "Follow your local electrical rules, and ask a qualified person where you are unsure; this text replaces neither.",
)
"""Sentences of common practice, in the order in which they are shown."""
