"""The rules about boards, one module a family, and the check that asks them all."""
