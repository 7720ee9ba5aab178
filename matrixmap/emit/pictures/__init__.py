"""Draws pictures: drawings, stickers and the sheet for the desk."""
