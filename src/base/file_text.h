/* file_text.h - the text of a file, and the name by which messages call it.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_BASE_FILE_TEXT_H
#define SM_BASE_FILE_TEXT_H

#include <stddef.h>

/* text NULL: there is none. Borrowed. */
typedef struct {
    const char *name;
    const char *text;
    size_t length;
} sm_file_text;

#endif
