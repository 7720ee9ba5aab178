"""The texts of sheets, pages and other papers, in the reader's language."""
