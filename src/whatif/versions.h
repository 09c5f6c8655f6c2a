/* versions.h - versions of a case: made one by one, run beside it on the same draws.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WHATIF_VERSIONS_H
#define SM_WHATIF_VERSIONS_H

#include "casefile/casefile.h"
#include "engine/assess.h"

typedef struct {
    int n;
    sm_casefile **file; /* NULL: left out, or no valid case */
} sm_versions;

/* Makes version i. SM_REFUSED with the faults in d if that is no valid case; *out stays NULL if it is left out.
 */
typedef sm_status (*sm_version_maker)(void *self, int i, sm_diag *d, sm_casefile **out);

/* n versions; what is refused is left out, and once interrupted what is left. Destroy out in every case. */
sm_status sm_versions_make(int n, sm_version_maker make, void *self, sm_watch watch, sm_versions *out);
/* Whether all of m versions from the first are there. */
bool sm_versions_whole(const sm_versions *v, int first, int m);
/* Leaves m versions from the first out. */
void sm_versions_drop(sm_versions *v, int first, int m);
/* sm_assess_versions for the case of f. */
sm_status sm_versions_run(const sm_casefile *f, const sm_versions *v, sm_run_context context, sm_assessment *out,
                          sm_version_results *results);
void sm_versions_destroy(sm_versions *v);

/* The patient event of a version, and how it differs from the case itself. */
typedef struct {
    sm_probability event;
    sm_estimate difference; /* paired: version less case */
} sm_variant;

sm_variant sm_variant_of(const sm_version *v);

#endif
