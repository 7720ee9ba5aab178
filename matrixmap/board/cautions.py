"""What has to be said wherever wiring is shown."""

CAUTIONS = (
    "Switch the computer off and unplug it before you touch its connector.",
    "Check alignment and pin 1 before power, twice where the connector has no blanked pin.",
    "Never drive a line that the computer also drives: open-drain outputs or analogue switches only.",
    "Parts for 3.3 V need level-safe inputs on lines of 5 V.",
    "Guard against static discharge.",
    "Your local electrical rules and a qualified person decide; this text does not.",
)
"""Sentences of common practice, in their order."""
