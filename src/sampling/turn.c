/* turn.c - cosine and sine of an angle given in turns, in a loop that compilers vectorise.
 *
 * The angle is brought to within an eighth of a turn of the nearest quarter; there the Taylor polynomials of degree 16
 * and 17 err by less than 1e-17 (next term: (pi/4)^18/18! = 2e-18).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sampling/turn.h"

#include "base/lanes.h"

#define TWO_PI 6.283185307179586476925286766559
/* Adding and taking off 1.5 * 2^52 rounds to the nearest integer (round-to-nearest mode, no contraction). */
#define ROUND(x) (((x) + 0x1.8p52) - 0x1.8p52)

static inline double small_sin(double x)
{
    double y = x * x;
    double p = 1.0 / 355687428096000.0;
    p = p * y - 1.0 / 1307674368000.0;
    p = p * y + 1.0 / 6227020800.0;
    p = p * y - 1.0 / 39916800.0;
    p = p * y + 1.0 / 362880.0;
    p = p * y - 1.0 / 5040.0;
    p = p * y + 1.0 / 120.0;
    p = p * y - 1.0 / 6.0;
    return x + x * y * p;
}

static inline double small_cos(double x)
{
    double y = x * x;
    double p = 1.0 / 20922789888000.0;
    p = p * y - 1.0 / 87178291200.0;
    p = p * y + 1.0 / 479001600.0;
    p = p * y - 1.0 / 3628800.0;
    p = p * y + 1.0 / 40320.0;
    p = p * y - 1.0 / 720.0;
    p = p * y + 1.0 / 24.0;
    p = p * y - 0.5;
    return 1.0 + y * p;
}

SM_WIDE void sm_turn(const double *restrict t, double *restrict c, double *restrict s, int n)
{
    for (int i = 0; i < n; i++) {
        double part = t[i] - ROUND(t[i]); /* -1/2 to 1/2 */
        double quarter = ROUND(4 * part); /* -2 to 2 */
        double x = TWO_PI * (part - quarter / 4);
        double cs = small_cos(x), sn = small_sin(x);
        double odd = quarter * quarter == 1 ? 1 : 0;
        double even_sign = 1 - quarter * quarter / 2; /* 1 at 0, -1 at +-2 */
        c[i] = odd != 0 ? -quarter * sn : even_sign * cs;
        s[i] = odd != 0 ? quarter * cs : even_sign * sn;
    }
}
