/* rng.c - a random number as a pure function of (seed, stream, block, position).
 *
 * Contents: 1. the generator behind GSL's interface  2. streams and places  3. columns of draws
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sampling/rng.h"

#include <gsl/gsl_randist.h>

#include "base/lanes.h"
#include "sampling/philox.h"
#include "sampling/ziggurat.h"

/* 1. The generator behind GSL's interface */

typedef struct {
    sm_philox_place at;
    uint32_t next;  /* counter of the next refill */
    unsigned taken; /* numbers handed out of the buffer */
    uint32_t buffer[SM_PHILOX_NUMBERS];
} philox_state;

static void philox_refill(philox_state *s)
{
    sm_philox_fill(&s->at, s->next, s->buffer);
    s->next += SM_PHILOX_COUNTERS;
    s->taken = 0;
}

static void philox_place(philox_state *s, uint64_t seed, uint64_t stream, uint32_t block)
{
    s->at = (sm_philox_place){.seed = seed, .stream = stream, .block = block};
    s->next = 0;
    s->taken = SM_PHILOX_NUMBERS;
}

static void philox_set(void *state, unsigned long seed)
{
    philox_place(state, seed, 0, 0);
}

static unsigned long philox_get(void *state)
{
    philox_state *s = state;
    if (s->taken == SM_PHILOX_NUMBERS)
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

void sm_rng_seek(gsl_rng *r, uint64_t seed, uint64_t stream, uint32_t block)
{
    philox_place(r->state, seed, stream, block);
}

/* 3. Columns of draws. They take numbers straight from the buffer: a call through GSL's interface for each costs more
 * than the number itself. */

/* Numbers that are in the buffer: at least one, at most n. */
static int at_hand(philox_state *s, int n)
{
    if (s->taken == SM_PHILOX_NUMBERS)
        philox_refill(s);
    const int left = SM_PHILOX_NUMBERS - (int)s->taken;
    return left < n ? left : n;
}

/* Draws from numbers k[0] on while they are inner ones of the ziggurat. Returns how many. */
static int inner_normals(const uint32_t *restrict k, double *restrict out, int n)
{
    for (int i = 0; i < n; i++) {
        const uint32_t strip = k[i] & 0xff;
        const int32_t j = (int32_t)(k[i] >> 8);
        if (j >= sm_strip_inner[strip])
            return i;
        out[i] = j * sm_strip_width[strip];
    }
    return n;
}

/* The 98.8 % of draws that one number settles are made here. If one does not, GSL starts again from that number. The
 * bits are those of gsl_ran_gaussian_ziggurat all along (tested). */
void sm_rng_normals(gsl_rng *r, double *out, int n)
{
    philox_state *s = r->state;
    for (int i = 0; i < n;) {
        const int most = at_hand(s, n - i), made = inner_normals(&s->buffer[s->taken], &out[i], most);
        s->taken += (unsigned)made;
        i += made;
        if (made < most)
            out[i++] = gsl_ran_gaussian_ziggurat(r, 1.0);
    }
}

/* Goes through int32_t, which two lanes wide can be converted: 2^31 is taken off and given back, exactly. */
SM_WIDE static void to_uniforms(const uint32_t *restrict k, double *restrict out, int n)
{
    for (int i = 0; i < n; i++)
        out[i] = ((double)(int32_t)(k[i] ^ 0x80000000u) + (0x1p31 + 0.5)) * 0x1p-32;
}

void sm_rng_uniforms(gsl_rng *r, double *out, int n)
{
    philox_state *s = r->state;
    for (int i = 0; i < n;) {
        const int most = at_hand(s, n - i);
        to_uniforms(&s->buffer[s->taken], &out[i], most);
        s->taken += (unsigned)most;
        i += most;
    }
}
