"""Pictures out: drawings, stickers and the sheet for the desk."""
