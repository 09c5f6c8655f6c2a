/* files.h - reading whole files, and writing them so that no half of one ever stands there.
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

/* Writes a whole file: beside it under a temporary name, then renamed, so that an old one stays until the new one is
 * complete. "-" is standard output; a device is written as it is. SM_NOT_WRITTEN with one fault in d. */
sm_status sm_file_write_atomic(const char *path, const char *text, size_t n, sm_diag *d);

/* Whether sm_file_write_atomic can be expected to succeed, asked before a long run. */
sm_status sm_file_check_writable(const char *path, sm_diag *d);

/* Makes a folder, and those above it, where they are missing. SM_NOT_WRITTEN with one fault in d. */
sm_status sm_file_make_folder(const char *path, sm_diag *d);

/* path, where it is not absolute, as seen from the folder of the file `beside`. On the heap; NULL without memory. */
char *sm_file_beside(const char *beside, const char *path);

#endif
