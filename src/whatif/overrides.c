/* overrides.c - a growing list of overrides that owns its texts.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/overrides.h"

#include <stdlib.h>

#include "base/grow.h"

void sm_overrides_add(sm_overrides *o, sm_text *pointer, sm_text *json)
{
    sm_override *more = sm_grow(o->at, o->n, &o->cap, 8, sizeof *more);
    if (more)
        o->at = more;
    char *p = sm_text_take(pointer), *j = sm_text_take(json);
    if (more && p && j)
        o->at[o->n++] = (sm_override){p, j};
    else {
        o->failed = true;
        free(p);
        free(j);
    }
}

void sm_overrides_add_number(sm_overrides *o, const char *pointer, const char *key, double x)
{
    char digits[SM_NUMBER_SIZE];
    sm_text p = {0}, j = {0};
    sm_text_addf(&p, "%s%s", pointer, key);
    sm_text_puts(&j, sm_number_write(x, digits));
    sm_overrides_add(o, &p, &j);
}

sm_status sm_overrides_vary(const sm_casefile *f, const sm_overrides *o, sm_diag *d, sm_casefile **out)
{
    *out = NULL;
    return o->failed ? SM_NO_MEMORY : sm_casefile_vary(f, o->at, o->n, d, out);
}

sm_status sm_overrides_vary_bare(const sm_casefile *f, const sm_overrides *o, sm_diag *d, sm_casefile **out)
{
    *out = NULL;
    return o->failed ? SM_NO_MEMORY : sm_casefile_vary_bare(f, o->at, o->n, d, out);
}

void sm_overrides_destroy(sm_overrides *o)
{
    for (size_t i = 0; i < o->n; i++) {
        free((char *)o->at[i].pointer);
        free((char *)o->at[i].json);
    }
    free(o->at);
    *o = (sm_overrides){0};
}
