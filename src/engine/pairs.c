/* pairs.c - in which trials roots have an event, and in how many two of them both have one.
 *
 * Contents: 1. storage  2. bits  3. counting
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/pairs.h"

#include <stdlib.h>
#include <string.h>

/* 1. Storage */

static size_t places(const sm_pairs *p)
{
    return (size_t)p->n * (size_t)p->n;
}

sm_status sm_pairs_create(int n, sm_pairs *p)
{
    *p = (sm_pairs){.n = n};
    if (n == 0)
        return SM_OK;
    p->both = calloc(places(p), sizeof *p->both);
    return p->both ? SM_OK : SM_NO_MEMORY;
}

void sm_pairs_clear(sm_pairs *p)
{
    if (p->n > 0)
        memset(p->both, 0, places(p) * sizeof *p->both);
}

void sm_pairs_merge(sm_pairs *p, const sm_pairs *other)
{
    for (size_t i = 0; i < places(p); i++)
        p->both[i] += other->both[i];
}

void sm_pairs_destroy(sm_pairs *p)
{
    free(p->both);
    *p = (sm_pairs){0};
}

/* 2. Bits */

sm_mask sm_mask_of(const double *flag, int n)
{
    sm_mask m = {{0}};
    for (int i = 0; i < n; i++)
        m.word[i / 64] |= (uint64_t)(flag[i] > 0) << (i % 64);
    return m;
}

/* The number of bits set, by adding neighbours (Warren, Hacker's Delight, 2nd edition, 5-1). */
static int64_t bits(uint64_t x)
{
    x -= x >> 1 & 0x5555555555555555;
    x = (x & 0x3333333333333333) + (x >> 2 & 0x3333333333333333);
    x = (x + (x >> 4)) & 0x0f0f0f0f0f0f0f0f;
    return (int64_t)(x * 0x0101010101010101 >> 56);
}

int sm_mask_without(const sm_mask *a, const sm_mask *b, int place[SM_LANES])
{
    int n = 0;
    for (int w = 0; w < SM_MASK_WORDS; w++)
        for (uint64_t left = a->word[w] & ~b->word[w]; left; left &= left - 1)
            place[n++] = 64 * w + (int)bits((left & -left) - 1);
    return n;
}

/* 3. Counting */

static int64_t count_both(const sm_mask *a, const sm_mask *b)
{
    int64_t n = 0;
    for (int w = 0; w < SM_MASK_WORDS; w++)
        n += bits(a->word[w] & b->word[w]);
    return n;
}

static double weigh_both(const sm_mask *a, const sm_mask *b, const double *weight)
{
    double sum = 0;
    for (int w = 0; w < SM_MASK_WORDS; w++)
        for (uint64_t left = a->word[w] & b->word[w]; left; left &= left - 1) {
            const double at = weight[64 * w + (int)bits((left & -left) - 1)];
            sum += at * at;
        }
    return sum;
}

void sm_pairs_add(sm_pairs *p, const sm_mask *mask, const double *weight)
{
    for (int i = 0; i < p->n; i++)
        for (int j = 0; j <= i; j++)
            p->both[i * p->n + j] +=
                weight ? weigh_both(&mask[i], &mask[j], weight) : (double)count_both(&mask[i], &mask[j]);
}

double sm_pairs_both(const sm_pairs *p, int i, int j)
{
    return i >= j ? p->both[i * p->n + j] : p->both[j * p->n + i];
}
