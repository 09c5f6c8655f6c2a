/* philox.h - the cipher Philox4x32-10 on one counter, or on many in a row.
 *
 * The 128-bit counter is (position, block, stream low, stream high), the 64-bit key is the seed.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_SAMPLING_PHILOX_H
#define SM_SAMPLING_PHILOX_H

#include <stdint.h>

/* Where in the space of random numbers. */
typedef struct {
    uint64_t seed, stream;
    uint32_t block;
} sm_philox_place;

/* The four numbers that stand at a counter under a seed, by Random123. */
void sm_philox_encipher(const uint32_t counter[4], uint64_t seed, uint32_t out[4]);

enum { SM_PHILOX_COUNTERS = 16, SM_PHILOX_NUMBERS = 4 * SM_PHILOX_COUNTERS };

/* The numbers at SM_PHILOX_COUNTERS positions from `first` on, in order. */
void sm_philox_fill(const sm_philox_place *at, uint32_t first, uint32_t out[SM_PHILOX_NUMBERS]);

#endif
