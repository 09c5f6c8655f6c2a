/* files.h - reading whole files, and the names of those beside them.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CLI_FILES_H
#define SM_CLI_FILES_H

#include "base/diag.h"
#include "base/status.h"
#include "base/text.h"

/* Larger files are refused: a case is a few kilobytes. */
#define SM_FILE_LIMIT ((size_t)16 << 20)

/* Adds the bytes of a file to out; "-" is standard input. Missing, unreadable, a folder or above SM_FILE_LIMIT:
 * SM_REFUSED with one fault in d. */
sm_status sm_file_read(const char *path, sm_text *out, sm_diag *d);

/* path, if it is not absolute, as seen from the folder of the file `beside`. On the heap; NULL without memory. */
char *sm_file_beside(const char *beside, const char *path);

/* "case-keys.txt" for "case.json", ".json" and "-keys.txt". A name that would become too long for a file system is cut,
 * and told from others of the same beginning by a digest. On the heap; NULL without memory. */
char *sm_file_ending(const char *path, const char *without, const char *ending);

#endif
