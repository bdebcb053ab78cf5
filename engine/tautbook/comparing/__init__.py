"""Two editions beside each other: what changed in wording, and in effect."""
