/* overrides.h - a growing list of overrides that owns its texts: what a knob or an end of a range puts into a case.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WHATIF_OVERRIDES_H
#define SM_WHATIF_OVERRIDES_H

#include "base/text.h"
#include "casefile/casefile.h"

/* failed: memory ran out; look once, before the list is used. */
typedef struct {
    sm_override *at;
    size_t n, cap;
    bool failed;
} sm_overrides;

/* Takes both texts over. */
void sm_overrides_add(sm_overrides *o, sm_text *pointer, sm_text *json);
/* The number x at the pointer followed by key. */
void sm_overrides_add_number(sm_overrides *o, const char *pointer, const char *key, double x);
/* The case with all of them; as sm_casefile_vary. */
sm_status sm_overrides_vary(const sm_casefile *f, const sm_overrides *o, sm_diag *d, sm_casefile **out);
/* The same as sm_casefile_vary_bare. */
sm_status sm_overrides_vary_bare(const sm_casefile *f, const sm_overrides *o, sm_diag *d, sm_casefile **out);
void sm_overrides_destroy(sm_overrides *o);

#endif
