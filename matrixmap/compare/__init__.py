"""Two plans side by side: what changes, and what does that mean to the person typing? Then the same in words."""
