"""Commands for those who change the project itself."""
