"""A plain second reading of the language and of the verdict rules, sharing no code with the engine.

It is written from the description of the language alone. Slow and simple on purpose: where it and the engine
disagree, one of them is wrong, and this one is short enough to be read in one sitting.
"""
