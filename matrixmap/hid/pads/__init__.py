"""Which directions and buttons of a joystick or game pad are on, from its reports."""
