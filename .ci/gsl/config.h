/* config.h - what GSL's configure would find out about WebAssembly: IEEE arithmetic without extended precision and the
 * functions of
 * C11. HAVE_INLINE stays off, as in Debian's build. SPDX-License-Identifier: GPL-3.0-or-later */
#define HAVE_DECL_ACOSH               1
#define HAVE_DECL_ASINH               1
#define HAVE_DECL_ATANH               1
#define HAVE_DECL_EXPM1               1
#define HAVE_DECL_FINITE              1
#define HAVE_DECL_FREXP               1
#define HAVE_DECL_HYPOT               1
#define HAVE_DECL_ISFINITE            1
#define HAVE_DECL_ISINF               1
#define HAVE_DECL_ISNAN               1
#define HAVE_DECL_LDEXP               1
#define HAVE_DECL_LOG1P               1
#define HAVE_EXIT_SUCCESS_AND_FAILURE 1
#define HAVE_IEEE_COMPARISONS         1
#define HAVE_IEEE_DENORMALS           1
#define HAVE_PRINTF_LONGDOUBLE        1
#define GSL_RANGE_CHECK               0
#define GSL_COERCE_DBL(x)             (x)
#define RETURN_IF_NULL(x)                                                                                              \
    if (!x) {                                                                                                          \
        return;                                                                                                        \
    }
#define DISCARD_POINTER(p) ((void)(p));
