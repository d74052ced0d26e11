"""How large a visit and what is in it may be, so that no file can use up a computer.

What is kept stays within these, so that whatever was kept can be read again.
"""

LARGEST_FILE = 128 * 2**20
"""Bytes; about 80,000 readings of one run."""
LONGEST_TEXT = 256 * 2**10
"""Bytes in UTF-8 of a text or of a record in JSON: as long as a sequence may be."""
LONGEST_ROW = 4 * 2**20
"""Bytes of all columns of a row: more than the texts of any row together."""
MOST_ROWS = 50_000
"""Rows of one table: some twenty times what half a day gives. A report of so many takes seconds."""
