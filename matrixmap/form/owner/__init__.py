"""What a change means to the owner of a machine: a page that shows on each keyboard's keys what they type now."""
