/* lanes.h - how many trials travel together, and how loops over them are compiled.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_BASE_LANES_H
#define SM_BASE_LANES_H

#include <stdint.h> /* says which C library this is */

enum {
    SM_BLOCK = 1024, /* trials drawn at a time: the unit of the random streams */
    SM_LANES = 256   /* trials evaluated at a time: the columns of one evaluation stay in the first caches */
};

/* A function marked SM_WIDE is compiled a second time for AVX2, four numbers at once instead of two; the loader takes
 * what the processor has. The results are the same bits (tests/scripts/machines.sh): lanes do not mix, sums have a
 * fixed order (sum.h), and AVX2 alone brings no fused operations. It needs gcc (clang 14 does not export such
 * functions) and indirect functions (x86-64, glibc), which the sanitizers cannot follow; -DSM_PLAIN leaves it out. */
#if defined(__x86_64__) && defined(__GLIBC__) && defined(__GNUC__) && !defined(__clang__) && !defined(SM_PLAIN) &&     \
    !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
#define SM_WIDE __attribute__((target_clones("avx2", "default")))
#else
#define SM_WIDE
#endif

/* If AVX2 is written out by hand: SM_AVX2 says that it can be compiled, sm_lanes_wide() that this processor has it.
 */
#if defined(__x86_64__) && defined(__GNUC__) && !defined(SM_PLAIN)
#define SM_AVX2 1
static inline int sm_lanes_wide(void)
{
    return __builtin_cpu_supports("avx2");
}
#else
static inline int sm_lanes_wide(void)
{
    return 0;
}
#endif

#endif
