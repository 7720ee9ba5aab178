"""Which directions and buttons of a joystick or game pad are on, by its reports."""
