/* points.c - Sobol's points, scrambled, each reachable at once.
 *
 * Contents: 1. directions  2. the scramble  3. columns of coordinates  4. behind GSL's interface
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sampling/points.h"

#include <stdbool.h>
#include <string.h>

/* 1. Directions */

static inline uint32_t reversed(uint32_t x)
{
    x = (x >> 1 & 0x55555555u) | (x & 0x55555555u) << 1;
    x = (x >> 2 & 0x33333333u) | (x & 0x33333333u) << 2;
    x = (x >> 4 & 0x0f0f0f0fu) | (x & 0x0f0f0f0fu) << 4;
    x = (x >> 8 & 0x00ff00ffu) | (x & 0x00ff00ffu) << 8;
    return x >> 16 | x << 16;
}

static int degree_of(uint32_t polynomial)
{
    int degree = -1;
    for (; polynomial; polynomial >>= 1)
        degree++;
    return degree;
}

/* m_i 2^(32-i), by the recurrence of Bratley and Fox (ACM TOMS 1988;14:88); in the first dimension every m_i is 1. */
static void directions(int dimension, uint32_t v[SM_POINT_DIGITS])
{
    const sm_joe_kuo_row *row = &sm_joe_kuo[dimension];
    const int degree = dimension == 0 ? SM_POINT_DIGITS : degree_of(row->polynomial);
    for (int i = 0; i < SM_POINT_DIGITS; i++) {
        if (i < degree) {
            v[i] = (uint32_t)(dimension == 0 ? 1 : row->m[i]) << (31 - i);
            continue;
        }
        v[i] = v[i - degree] ^ v[i - degree] >> degree;
        for (int k = 1; k < degree; k++)
            v[i] ^= row->polynomial >> (degree - k) & 1 ? v[i - k] : 0;
    }
}

/* The digits of a point: the directions of the digits of its index, added without carry. */
static uint32_t digits_at(const uint32_t direction[SM_POINT_DIGITS], uint32_t index)
{
    uint32_t x = 0;
    for (int i = 0; index; i++, index >>= 1)
        x ^= index & 1 ? direction[i] : 0;
    return x;
}

void sm_point_axis_create(int dimension, sm_point_axis *a)
{
    directions(dimension, a->direction);
    for (int i = 0; i < SM_POINT_DIGITS; i++)
        a->direction[i] = reversed(a->direction[i]);
    a->first[0] = 0;
    for (int bit = 0; 1 << bit < SM_LANES; bit++)
        for (uint32_t i = 0; i < 1u << bit; i++)
            a->first[(1u << bit) + i] = a->first[i] ^ a->direction[bit];
}

/* 2. The scramble */

/* On reversed digits: what becomes of a digit hangs on it and on the coarser ones alone, as each step carries upward
 * only (the factors are even). The added seed makes each point uniform by itself. Factors of Laine and Karras (Comput
 * Graph Forum 2011;30:1181) as Burley gives them (J Comput Graph Tech 2020;9(4)), from memory; that the points stay a
 * net is tested. */
static inline uint32_t scrambled(uint32_t x, uint32_t seed)
{
    x += seed;
    x ^= x * 0x6c50b47cu;
    x ^= x * 0xb82f1e52u;
    x ^= x * 0xc7afe638u;
    x ^= x * 0x8d22f6e6u;
    return x;
}

/* (k + 1/2) 2^-32. Goes through int32_t as in rng.c. */
static inline double coordinate(uint32_t k)
{
    return ((double)(int32_t)(k ^ 0x80000000u) + (0x1p31 + 0.5)) * 0x1p-32;
}

/* 3. Columns of coordinates */

SM_WIDE void sm_points_fill(const sm_point_axis *a, uint32_t seed, uint32_t index, double *out)
{
    const uint32_t start = digits_at(a->direction, index);
    for (int i = 0; i < SM_LANES; i++)
        out[i] = coordinate(reversed(scrambled(start ^ a->first[i], seed)));
}

/* 4. Behind GSL's interface */

typedef struct {
    uint32_t index;
    bool scramble;
    uint32_t seed[SM_POINT_DIMENSIONS], direction[SM_POINT_DIMENSIONS][SM_POINT_DIGITS];
} points_state;

static size_t points_size(unsigned int dimensions)
{
    (void)dimensions;
    return sizeof(points_state);
}

static int points_init(void *state, unsigned int dimensions)
{
    points_state *s = state;
    s->index = 0;
    s->scramble = false;
    for (unsigned d = 0; d < dimensions; d++)
        directions((int)d, s->direction[d]);
    return 0;
}

static int points_get(void *state, unsigned int dimensions, double *x)
{
    points_state *s = state;
    for (unsigned d = 0; d < dimensions; d++) {
        const uint32_t k = digits_at(s->direction[d], s->index);
        x[d] = coordinate(s->scramble ? reversed(scrambled(reversed(k), s->seed[d])) : k);
    }
    s->index++;
    return 0;
}

static const gsl_qrng_type points_type = {"sobol_joe_kuo", SM_POINT_DIMENSIONS, points_size, points_init, points_get};

const gsl_qrng_type *const sm_qrng_points = &points_type;

void sm_qrng_points_seek(gsl_qrng *q, uint32_t index, const uint32_t *seed)
{
    points_state *s = q->state;
    s->index = index;
    s->scramble = seed != NULL;
    if (seed)
        memcpy(s->seed, seed, q->dimension * sizeof *seed);
}
