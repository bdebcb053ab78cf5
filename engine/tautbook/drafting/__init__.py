"""Editions to begin with: a first one, and an amendment of one that exists."""
