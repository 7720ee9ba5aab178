"""Two plans side by side: what changes, and what that means to the person typing."""
