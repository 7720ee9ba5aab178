"""The rules that look at a plan, one module a family."""
