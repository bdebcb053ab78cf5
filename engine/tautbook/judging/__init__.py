"""Judging: a record by an edition, finding by finding, to a verdict."""
