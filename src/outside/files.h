/* files.h - reading whole files, and what stands at a name.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_OUTSIDE_FILES_H
#define SM_OUTSIDE_FILES_H

#include "base/diag.h"
#include "base/status.h"
#include "base/text.h"

/* Larger files are refused: a case is a few kilobytes. */
#define SM_FILE_LIMIT ((size_t)16 << 20)

/* Adds the bytes of a file to out; "-" is standard input. Missing, unreadable, a folder or above SM_FILE_LIMIT:
 * SM_REFUSED with one fault in d. */
sm_status sm_file_read(const char *path, sm_text *out, sm_diag *d);

/* The same of what an output will replace: *there is false, and nothing is read, only where it is known that nothing
 * stands there, or where it is a stream, which has no old. */
sm_status sm_file_read_old(const char *path, sm_text *out, bool *there, sm_diag *d);

/* Whether a file, a folder or whatever else has this name; whether it is a folder. */
bool sm_file_is_there(const char *path);
bool sm_file_is_folder(const char *path);

#endif
