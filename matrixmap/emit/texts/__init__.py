"""Which words do sheets, pages and other papers for readers use, in the reader's language?"""
