"""The rules about a plan, one module a family."""
