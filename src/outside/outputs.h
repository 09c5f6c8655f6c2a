/* outputs.h - what a command reads and what it will write, checked before it computes: no output may be an input or
 * another output, and each can be written.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_OUTSIDE_OUTPUTS_H
#define SM_OUTSIDE_OUTPUTS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/status.h"

typedef struct sm_outputs_name sm_outputs_name;

/* Zero-initialise to start empty. `failed` is set when memory ran out. */
typedef struct {
    sm_outputs_name *name;
    size_t n, cap;
    bool failed;
} sm_output_files;

/* what: "the case", "--json"; borrowed. A path of "-" is standard input or output, one of NULL is passed over. */
void sm_outputs_reads(sm_output_files *o, const char *what, const char *path);
void sm_outputs_writes(sm_output_files *o, const char *what, const char *path);
/* A folder, made if it is missing. writes: whether a file of this name may be put there. */
void sm_outputs_fills(sm_output_files *o, const char *what, const char *path, bool (*writes)(const char *name));
/* The text of a command goes to standard output, unless an output named before has it alone. Whether it goes there. */
bool sm_outputs_tells(sm_output_files *o);

/* SM_USAGE if an output is an input or another output, SM_NOT_WRITTEN if one cannot be written. All that is wrong with
 * any of them has been reported on standard error. */
sm_status sm_outputs_check(const sm_output_files *o);

void sm_outputs_destroy(sm_output_files *o);

#endif
