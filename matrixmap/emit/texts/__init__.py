"""The words that sheets, pages and other papers use, in the reader's language."""
