/* profile_update.h - a site profile with new reader errors, everything else in it kept.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_STUDY_PROFILE_UPDATE_H
#define SM_STUDY_PROFILE_UPDATE_H

#include <stdbool.h>

#include "base/diag.h"
#include "base/status.h"
#include "casefile/casefile.h"

/* One entry of "readers" (docs/case-format.md). */
typedef struct {
    const char *quantity;
    double between_reader_sd_mm, repeat_sd_mm, dof;
    bool sd_includes_plane;
    const char *source;
    size_t cases, readers, readings; /* of the study */
} sm_profile_reader;

/* True for the quantities that a profile may hold. */
bool sm_profile_takes(const char *quantity);

/* Adds the new text of the profile to out. old.text NULL: a new profile is made, for site `site`. In an entry that is
 * already there the SDs, dof, sd_includes_plane and source are replaced and other keys (bloom_edges, cross_check) kept,
 * the old source behind the new one. Entries for other quantities and every other key keep their values and order.
 * SDs that are replaced by others are named beside them in a warning; if those there rest on a larger study (more
 * cases, readers or readings by their source; more degrees of freedom if it does not say) in a fault, unless
 * `replace`. SM_OK, SM_REFUSED with a fault in d (leave the file as it is; so too if the old text is not a profile),
 * or SM_NO_MEMORY. */
sm_status sm_profile_update(sm_file_text old, const char *site, const sm_profile_reader *reader, size_t n, bool replace,
                            sm_diag *d, sm_text *out);

#endif
