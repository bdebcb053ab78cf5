"""Rules of structural bolting tests as data: judge a recorded test by a chosen edition, and explain the verdict."""

__version__ = "0.1.0"
