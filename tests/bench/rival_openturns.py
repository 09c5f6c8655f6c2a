#!/usr/bin/python3
"""The assessment of a case in OpenTURNS: a composed distribution of every draw and a vectorised function.

    rival_openturns.py CASE TRIALS        prints nanoseconds a trial and the event's probability

As its users are advised to: one ComposedDistribution, one PythonFunction that takes a whole sample (func_sample) and is
itself numpy (that of rival_numpy.py), and the library's own mean, SD and quantiles; in chunks of 50,000, the quantiles of
all chunks together. Status 77 where it is not installed. SPDX-License-Identifier: GPL-3.0-or-later
"""
import sys
import time

import rival_numpy
from rival_numpy import np, reference

try:
    import openturns as ot
except ImportError:
    sys.exit(77)

CHUNK = 50000


class Recorder:
    """Stands in for a generator: notes the distribution of every column that the model asks for."""

    def __init__(self):
        self.marginals = []

    def take(self, marginal, shape):
        rows = shape[0] if isinstance(shape, tuple) else 1
        self.marginals += [marginal] * rows
        return np.zeros(shape) + marginal.getMean()[0]

    def standard_normal(self, shape):
        return self.take(ot.Normal(0, 1), shape)

    def random(self, shape):
        return self.take(ot.Uniform(0, 1), shape)

    def uniform(self, low, high, shape):
        return self.take(ot.Uniform(low, high), shape)

    def triangular(self, low, mode, high, shape):
        return self.take(ot.Triangular(low, mode, high), shape)

    def standard_t(self, dof, shape):
        return self.take(ot.Student(dof), shape)


class Player(Recorder):
    """Hands the columns of a sample out in the same order."""

    def __init__(self, columns):
        self.columns, self.next = columns, 0

    def take(self, marginal, shape):
        rows = shape[0] if isinstance(shape, tuple) else 1
        first, self.next = self.next, self.next + rows
        return self.columns[first:self.next] if isinstance(shape, tuple) else self.columns[first]

    def standard_normal(self, shape):
        return self.take(None, shape)

    random = standard_normal

    def uniform(self, low, high, shape):
        return self.take(None, shape)

    def triangular(self, low, mode, high, shape):
        return self.take(None, shape)

    def standard_t(self, dof, shape):
        return self.take(None, shape)


def main():
    model, trials = reference.Model(sys.argv[1]), int(sys.argv[2])
    recorder = Recorder()
    outputs, crossings, _ = rival_numpy.one_chunk(model, recorder, 4)

    def evaluate(sample):
        columns = np.ascontiguousarray(np.asarray(sample).T)
        outputs, crossings, plain = rival_numpy.one_chunk(model, Player(columns), columns.shape[1])
        flags = [f for pair in crossings for f in pair] + [plain]
        return np.column_stack(outputs + flags)

    width = len(outputs) + 2 * len(crossings) + 1
    function = ot.PythonFunction(len(recorder.marginals), width, func_sample=evaluate)
    inputs = ot.ComposedDistribution(recorder.marginals)
    ot.RandomGenerator.SetSeed(1)
    start = time.perf_counter()
    result = ot.Sample(0, width)
    for _ in range(max(1, trials // CHUNK)):
        result.add(function(inputs.getSample(CHUNK)))
    continuous = result.getMarginal(list(range(len(outputs))))
    mean, sd = continuous.computeMean(), continuous.computeStandardDeviation()
    quantiles = [continuous.computeQuantilePerComponent(p) for p in (0.025, 0.5, 0.975)]
    event = np.asarray(result)[:, len(outputs):-1].any(axis=1).mean()
    assert len(mean) == len(sd) == len(quantiles[0])
    print("%.1f %.5f" % ((time.perf_counter() - start) / result.getSize() * 1e9, event))


if __name__ == "__main__":
    main()
