/* diag.h - what was found wrong with the input, all of it in one run.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_BASE_DIAG_H
#define SM_BASE_DIAG_H

#include "base/text.h"

typedef enum { SM_FAULT, SM_WARNING } sm_diag_kind;

/* One message. line and column count from 1, 0 if unknown; column counts bytes.
 * pointer is a JSON pointer (RFC 6901), "" for the whole file, NULL if there is none. */
typedef struct {
    sm_diag_kind kind;
    char *file;
    size_t line, column;
    char *pointer;
    char *words;
} sm_diag_item;

/* Zero-initialise to start empty. `failed` is set when memory ran out. */
typedef struct {
    sm_diag_item *item;
    size_t n, cap, faults;
    bool failed;
} sm_diag;

typedef struct {
    const char *file;
    size_t line, column;
    const char *pointer;
} sm_place;

void sm_diag_add(sm_diag *d, sm_diag_kind kind, sm_place place, const char *fmt, ...) SM_PRINTF(4, 5);
/* Puts the messages from number `first` on that follow each other of one file in the order of their places. */
void sm_diag_sort(sm_diag *d, size_t first);
/* Adds "file:line:column: pointer: words" lines for every message to out, fit to be shown (base/shown.h); the word
 * "warning: " stands before the words of a warning. If memory ran out for a message, out has failed too. */
void sm_diag_write(const sm_diag *d, sm_text *out);
void sm_diag_destroy(sm_diag *d);

#endif
