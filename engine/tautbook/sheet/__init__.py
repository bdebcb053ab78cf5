"""The form of a test as data: made from an edition and the record schema alone, for any procedure."""
