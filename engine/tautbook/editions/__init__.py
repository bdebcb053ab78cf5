"""Editions: rulesets read, checked and found."""
