"""Rendering: explanations, figures and listings as text for people and as JSON."""
