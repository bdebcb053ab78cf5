"""Proofreading: everything that is wrong with an edition, with its place and a way out."""
