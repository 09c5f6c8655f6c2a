/* rng.h - a random number as a pure function of (seed, stream, block of 1024 trials, position).
 *
 * Philox4x32-10 (Salmon et al. 2011, through Random123) behind GSL's generator interface, so that GSL's samplers can
 * draw from it. No result depends on threads, on the order of work, or on which other sources exist.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_SAMPLING_RNG_H
#define SM_SAMPLING_RNG_H

#include <stdint.h>

#include <gsl/gsl_rng.h>

/* 32-bit outputs, 0 to 2^32 - 1. Allocate with gsl_rng_alloc; gsl_rng_set(r, s) means seed s, stream 0, block 0, for
 * any s. */
extern const gsl_rng_type *const sm_rng_philox;

/* The stream that belongs to a name: FNV-1a of 64 bits, then a finaliser. Two purposes (a run, a pilot, a second
 * sample) never share a stream. */
uint64_t sm_rng_stream(const char *name, uint32_t purpose);

/* Puts r, a generator of sm_rng_philox, at the start of a block of a stream. Each block holds 2^34 numbers. */
void sm_rng_seek(gsl_rng *r, uint64_t seed, uint64_t stream, uint32_t block);

/* n standard normals by GSL's ziggurat (Marsaglia and Tsang 2000). */
void sm_rng_normals(gsl_rng *r, double *out, int n);
/* n uniforms, each (k + 1/2) 2^-32 with k of 32 bits: never 0 or 1. */
void sm_rng_uniforms(gsl_rng *r, double *out, int n);

#endif
