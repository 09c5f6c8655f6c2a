/* check.h - what every test program shares. cmocka's own comparison of reals passes on NaN; this one does not.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_TESTS_CHECK_H
#define SM_TESTS_CHECK_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* Passes where |got - want| <= rtol |want| + atol; NaN anywhere fails. */
#define assert_near(got, want, rtol, atol) check_near((got), (want), (rtol), (atol), #got, __FILE__, __LINE__)

static inline void check_near(double got, double want, double rtol, double atol, const char *what, const char *file,
                              int line)
{
    if (fabs(got - want) <= rtol * fabs(want) + atol)
        return;
    fprintf(stderr, "%s: got %.17g, want %.17g (off by %g, allowed %g)\n", what, got, want, got - want,
            rtol * fabs(want) + atol);
    _fail(file, line);
}

/* Passes where s contains part. */
#define assert_contains(s, part) check_contains((s), (part), __FILE__, __LINE__)

static inline void check_contains(const char *s, const char *part, const char *file, int line)
{
    if (s && strstr(s, part))
        return;
    fprintf(stderr, "\"%s\" is not in:\n%s\n", part, s ? s : "(null)");
    _fail(file, line);
}

#endif
