"""What workers are forked from: all steps with the libraries that they stand on, imported once,
which would cost each worker more than a second."""

import gc
from contextlib import suppress
from importlib import import_module
from pkgutil import iter_modules

from strapline.running import stages

# Nothing that is imported is garbage, and nothing of it is to be looked through later: that would
# write to it, and so copy what all workers share.
gc.disable()
for module in iter_modules(stages.__path__):
    # What is wrong with one, its jobs will say.
    with suppress(Exception):
        import_module(f"{stages.__name__}.{module.name}")
gc.freeze()
gc.enable()
