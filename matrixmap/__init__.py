"""Tables that let a modern HID keyboard type on a home computer's key matrix."""

__version__ = "0.1.0"
