/* files.h - whole files in and out.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CLI_FILES_H
#define SM_CLI_FILES_H

#include "base/diag.h"
#include "base/status.h"
#include "base/text.h"

/* Adds the whole file to out. SM_OK, SM_REFUSED with a fault in d, SM_NO_MEMORY. */
sm_status sm_file_read(const char *path, sm_text *out, sm_diag *d);
/* Writes a temporary file beside path, syncs it and renames it over path; "-" is standard output. SM_OK, or
 * SM_NOT_WRITTEN with a fault in d and path as it was. */
sm_status sm_file_write_atomic(const char *path, const char *text, size_t n, sm_diag *d);

#endif
