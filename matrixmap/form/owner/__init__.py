"""What a change means to the owner of a machine: the page on which each keyboard shows, on its keys, what they type now."""
