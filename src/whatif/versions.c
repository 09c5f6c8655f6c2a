/* versions.c - versions of a case: made one by one, run beside it on the same draws.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/versions.h"

#include <stdlib.h>

sm_status sm_versions_make(int n, sm_version_maker make, void *self, sm_watch watch, sm_versions *out)
{
    *out = (sm_versions){.n = n, .file = calloc((size_t)n + 1, sizeof *out->file)};
    sm_status s = out->file ? SM_OK : SM_NO_MEMORY;
    for (int i = 0; s == SM_OK && i < n && !sm_watch_interrupted(watch); i++) {
        sm_diag d = {0}; /* warnings were reported when the case itself was read */
        s = make(self, i, &d, &out->file[i]);
        sm_diag_destroy(&d);
        s = s == SM_REFUSED ? SM_OK : s;
    }
    return s;
}

bool sm_versions_whole(const sm_versions *v, int first, int m)
{
    for (int i = first; i < first + m; i++)
        if (!v->file[i])
            return false;
    return true;
}

void sm_versions_drop(sm_versions *v, int first, int m)
{
    for (int i = first; i < first + m; i++) {
        sm_casefile_destroy(v->file[i]);
        v->file[i] = NULL;
    }
}

sm_status sm_versions_run(const sm_casefile *f, const sm_versions *v, sm_run_context context, sm_assessment *out,
                          sm_version_results *results)
{
    const sm_case **c = calloc((size_t)v->n + 1, sizeof *c);
    if (!c)
        return SM_NO_MEMORY;
    for (int i = 0; i < v->n; i++)
        c[i] = v->file[i] ? sm_casefile_case(v->file[i]) : NULL;
    sm_status s = sm_assess_versions(sm_casefile_case(f), c, v->n, context, out, results);
    free(c);
    return s;
}

void sm_versions_destroy(sm_versions *v)
{
    if (v->file)
        sm_versions_drop(v, 0, v->n);
    free(v->file);
    *v = (sm_versions){0};
}

sm_variant sm_variant_of(const sm_version *v)
{
    return (sm_variant){v->patient.event, v->difference};
}
