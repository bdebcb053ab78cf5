"""Jobs: which tests a contract needs by its edition, which are on record, and what stands in the way."""
