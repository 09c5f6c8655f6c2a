/* staging.h - documents on their way to the disc: all of them are put in place together, or none is.
 *
 * Up to the commit nothing of the old is touched. What was staged and is not committed is removed: by destroy, or by
 * whatever signal ends the program. One staging is at work at a time.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_OUTSIDE_STAGING_H
#define SM_OUTSIDE_STAGING_H

#include "base/status.h"
#include "base/text.h"

typedef struct sm_staged sm_staged;

/* Zero-initialise to start empty. */
typedef struct {
    sm_staged *item;
    size_t n, cap;
    bool temporary; /* something was made that is not in place */
} sm_staging;

/* Each returns SM_OK, SM_NOT_WRITTEN after a complaint on standard error, or SM_NO_MEMORY; after a failure nothing can
 * be done but to destroy. */

/* Takes a document for path ("-": standard output), and empties the text. A link stays: what it leads to is written. */
sm_status sm_staging_add(sm_staging *s, const char *path, sm_text *text);
/* Makes a folder that is not there yet; with `above`, those above it too. They go again if nothing is committed. */
sm_status sm_staging_make_folder(sm_staging *s, const char *path, bool above);
/* Writes the streams (standard output, pipes, devices) in their order, then puts the files in place. If one fails, no
 * file is replaced, or those that were are put back. */
sm_status sm_staging_commit(sm_staging *s);
/* Takes the last document, then commits. */
sm_status sm_staging_commit_with(sm_staging *s, const char *path, sm_text *text);

void sm_staging_destroy(sm_staging *s);

/* The whole way for one document. */
sm_status sm_staging_send(const char *path, sm_text *text);

#endif
