"""Chemistry and process formulas as pure functions on SI floats.

Nothing here reads a file, knows a unit other than the one in the argument's name, or imports another part
of the program. Every public function states its equation, the unit of each argument and of the result, the
range in which it holds and its source under one of five words: published, library-computed, derived,
common practice (no source), from memory. Outside its range a function raises ``OutOfRange``; it never
extrapolates in silence.
"""
