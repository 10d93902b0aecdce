"""The command line: the only place that prints or exits."""

import atexit
import gc

# a command is over in a moment: what it imports need not be searched for garbage again and again, nor at the end
gc.set_threshold(100_000)
atexit.register(gc.freeze)
