"""Schema and plain tree into values of their kinds; the record vocabulary."""
