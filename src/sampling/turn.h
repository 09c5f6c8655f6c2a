/* turn.h - cosine and sine of an angle given in turns.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_SAMPLING_TURN_H
#define SM_SAMPLING_TURN_H

/* c[i] = cos(2 pi t[i]), s[i] = sin(2 pi t[i]) for |t| < 1e6; absolute error below 4e-16 + 7 |t| 2^-53. No array may
 * overlap another. */
void sm_turn(const double *restrict t, double *restrict c, double *restrict s, int n);

#endif
