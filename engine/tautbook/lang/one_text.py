"""When two texts are one: letters with marks however they are coded, and any white space as a single blank."""

from __future__ import annotations

import unicodedata


def one_text(text: str) -> str:
    """The form of a text that it is compared in. Digests are made over it as well, so that what is equal for a digest
    is equal for a rule."""
    return " ".join(unicodedata.normalize("NFC", text).split())
