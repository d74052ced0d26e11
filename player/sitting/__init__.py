"""One sitting with one display: which task is done, which comes next. No windows here."""
