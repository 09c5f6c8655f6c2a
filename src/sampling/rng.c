/* rng.c - a random number as a pure function of (seed, stream, block, position).
 *
 * Contents: 1. the generator behind GSL's interface  2. streams and places  3. columns of draws
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sampling/rng.h"

#include <gsl/gsl_randist.h>
#include <Random123/philox.h>

/* 1. The generator behind GSL's interface */

/* Sixteen counters are enciphered at a time: 64 numbers. */
enum { COUNTERS = 16, NUMBERS = 4 * COUNTERS };

typedef struct {
    uint64_t seed, stream;
    uint32_t block;
    uint32_t next;  /* counter of the next refill */
    unsigned taken; /* numbers handed out of the buffer */
    uint32_t buffer[NUMBERS];
} philox_state;

/* The 128-bit counter is (position, block, stream low, stream high), the 64-bit key is the seed. */
static inline void encipher(const uint32_t c[4], uint64_t seed, uint32_t out[4])
{
    const philox4x32_key_t key = {{(uint32_t)seed, (uint32_t)(seed >> 32)}};
    philox4x32_ctr_t counter = {{c[0], c[1], c[2], c[3]}};
    counter = philox4x32(counter, key);
    for (unsigned j = 0; j < 4; j++)
        out[j] = counter.v[j];
}

static void philox_refill(philox_state *s)
{
    for (unsigned i = 0; i < COUNTERS; i++) {
        const uint32_t counter[4] = {s->next + i, s->block, (uint32_t)s->stream, (uint32_t)(s->stream >> 32)};
        encipher(counter, s->seed, &s->buffer[4 * i]);
    }
    s->next += COUNTERS;
    s->taken = 0;
}

static void philox_place(philox_state *s, uint64_t seed, uint64_t stream, uint32_t block)
{
    s->seed = seed;
    s->stream = stream;
    s->block = block;
    s->next = 0;
    s->taken = NUMBERS;
}

static void philox_set(void *state, unsigned long seed)
{
    philox_place(state, seed, 0, 0);
}

static unsigned long philox_get(void *state)
{
    philox_state *s = state;
    if (s->taken == NUMBERS)
        philox_refill(s);
    return s->buffer[s->taken++];
}

static double philox_get_double(void *state)
{
    return ((double)philox_get(state) + 0.5) * 0x1p-32;
}

static const gsl_rng_type philox_type = {"philox4x32_10", 0xffffffffUL,     0, sizeof(philox_state), philox_set,
                                         philox_get,      philox_get_double};

const gsl_rng_type *const sm_rng_philox = &philox_type;

/* 2. Streams and places */

uint64_t sm_rng_stream(const char *name, uint32_t purpose)
{
    uint64_t h = 14695981039346656037u ^ purpose;
    h *= 1099511628211u;
    for (const unsigned char *c = (const unsigned char *)name; *c; c++)
        h = (h ^ *c) * 1099511628211u;
    h = (h ^ (h >> 30)) * 0xbf58476d1ce4e5b9u; /* the finaliser of splitmix64 spreads the last letters over all bits */
    h = (h ^ (h >> 27)) * 0x94d049bb133111ebu;
    return h ^ (h >> 31);
}

void sm_rng_encipher(const uint32_t counter[4], uint64_t seed, uint32_t out[4])
{
    encipher(counter, seed, out);
}

void sm_rng_seek(gsl_rng *r, uint64_t seed, uint64_t stream, uint32_t block)
{
    philox_place(r->state, seed, stream, block);
}

/* 3. Columns of draws */

void sm_rng_normals(gsl_rng *r, double *out, int n)
{
    for (int i = 0; i < n; i++)
        out[i] = gsl_ran_gaussian_ziggurat(r, 1.0);
}

void sm_rng_uniforms(gsl_rng *r, double *out, int n)
{
    for (int i = 0; i < n; i++)
        out[i] = philox_get_double(r->state);
}
