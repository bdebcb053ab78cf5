"""Explaining: what a verdict rests on, as data first, then in words."""
