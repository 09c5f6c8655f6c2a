"""Where a rival's time goes: wraps functions so that each adds up its own time, without that of wrapped ones inside it.

SPDX-License-Identifier: GPL-3.0-or-later
"""
import time


class Parts:
    def __init__(self):
        self.spent, self.inside = {}, []

    def wrap(self, owner, name, label):
        """Replaces owner.name by itself, timed under a label."""
        function = getattr(owner, name)

        def timed(*args, **kwargs):
            start = time.perf_counter()
            self.inside.append(0.0)
            result = function(*args, **kwargs)
            whole = time.perf_counter() - start
            self.spent[label] = self.spent.get(label, 0) + whole - self.inside.pop()
            if self.inside:
                self.inside[-1] += whole
            return result

        setattr(owner, name, timed)

    def show(self, trials):
        for label, seconds in sorted(self.spent.items(), key=lambda item: -item[1]):
            print("%8.0f ns a trial  %s" % (seconds / trials * 1e9, label))
