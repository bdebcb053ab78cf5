"""The small language: text and spans, strict reading, exact quantities, grammar, checking, evaluation. It knows
nothing of bolts."""
