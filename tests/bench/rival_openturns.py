#!/usr/bin/python3
"""The assessment of a case in OpenTURNS: a composed distribution of every draw and a vectorised function.

    rival_openturns.py CASE TRIALS [parts]    prints nanoseconds a trial and the event's probability; with parts, where they go
    rival_openturns.py CASE sobol ERROR       prints seconds, points, standard error and probability of its randomised Sobol points

As its users are advised to: one ComposedDistribution, one PythonFunction that takes a whole sample (func_sample) and is
itself numpy (that of rival_numpy.py), and the library's own mean, SD and quantiles; in chunks, the quantiles of
all chunks together. With sobol: the event's probability alone, from LowDiscrepancyExperiment, randomised 16 times anew; the
fewest of 4096, 8192, ... points in all whose 16 means err by no more. Status 77 where it is not installed. SPDX-License-Identifier: GPL-3.0-or-later
"""
import sys
import time

import rival_numpy
from parts import Parts
from rival_numpy import np, reference

try:
    import openturns as ot
except ImportError:
    sys.exit(77)

CHUNK = 5000     # the fastest of 2,000 to 100,000


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


class Study:
    """The whole assessment; each step can be timed."""

    def __init__(self, model):
        self.model, recorder = model, Recorder()
        outputs, crossings, _ = rival_numpy.one_chunk(model, recorder, 4)
        self.continuous, self.width = len(outputs), len(outputs) + 2 * len(crossings) + 1
        self.inputs = ot.ComposedDistribution(recorder.marginals)
        self.function = ot.PythonFunction(len(recorder.marginals), self.width, func_sample=self.evaluate)
        self.result = ot.Sample(0, self.width)

    def evaluate(self, sample):
        columns = np.ascontiguousarray(np.asarray(sample).T)
        outputs, crossings, plain = rival_numpy.one_chunk(self.model, Player(columns), columns.shape[1])
        return np.column_stack(outputs + [f for pair in crossings for f in pair] + [plain])

    def draw(self):
        return self.inputs.getSample(CHUNK)

    def apply(self, sample):
        return self.function(sample)

    def collect(self, outputs):
        self.result.add(outputs)

    def summary(self):
        values = self.result.getMarginal(list(range(self.continuous)))
        event = np.asarray(self.result)[:, self.continuous:-1].any(axis=1).mean()
        quantiles = [values.computeQuantilePerComponent(p) for p in (0.025, 0.5, 0.975)]
        return event, values.computeMean(), values.computeStandardDeviation(), quantiles


def timed_parts(study):
    parts = Parts()
    parts.wrap(study, "draw", "draws of the composed distribution")
    parts.wrap(rival_numpy, "one_chunk", "the model, in numpy")
    parts.wrap(study, "apply", "samples to numpy and back")
    parts.wrap(study, "collect", "keeping the outputs")
    parts.wrap(study, "summary", "mean, SD, quantiles")
    return parts


REPLICATES = 16


def sobol(study, points):
    """Means of independent randomisations of so many points in all: the probability and its standard error."""
    means = []
    for _ in range(REPLICATES):
        experiment = ot.LowDiscrepancyExperiment(ot.SobolSequence(), study.inputs, points // REPLICATES, True)
        experiment.setRandomize(True)
        columns = np.ascontiguousarray(np.asarray(experiment.generate()).T)
        crossings = rival_numpy.one_chunk(study.model, Player(columns), columns.shape[1])[1]
        means.append(np.any([f for pair in crossings for f in pair], axis=0).mean())
    return np.mean(means), np.std(means, ddof=1) / REPLICATES ** 0.5


def race(study, wanted):
    points = 4096
    while True:
        start = time.process_time()
        p, error = sobol(study, points)
        if error <= wanted:
            print("%.4f %d %.2g %.5f" % (time.process_time() - start, points, error, p))
            return
        points *= 2


def main():
    if sys.argv[2] == "sobol":
        ot.RandomGenerator.SetSeed(1)
        race(Study(reference.Model(sys.argv[1])), float(sys.argv[3]))
        return
    study, trials = Study(reference.Model(sys.argv[1])), int(sys.argv[2])
    parts = timed_parts(study) if sys.argv[3:] == ["parts"] else None
    ot.RandomGenerator.SetSeed(1)
    start = time.perf_counter()
    for _ in range(max(1, trials // CHUNK)):
        study.collect(study.apply(study.draw()))
    event = study.summary()[0]
    done = study.result.getSize()
    print("%.1f %.5f" % ((time.perf_counter() - start) / done * 1e9, event))
    if parts:
        parts.show(done)


if __name__ == "__main__":
    main()
