/* target.h - where the name of a file leads: through links, to a descriptor, to what stands there or would stand there.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CLI_TARGET_H
#define SM_CLI_TARGET_H

#include <stdbool.h>
#include <sys/stat.h>

#include "base/text.h"

/* The end of every link. Two names are one file if they lead to the same device and inode, or, as long as nothing
 * stands there, to the same name in the same folder. */
typedef struct {
    char *path;       /* FOLDER/NAME without links; NULL for a descriptor, and if `error` is set */
    const char *name; /* its last part, within path */
    int descriptor;   /* "-", /dev/stdout, /dev/fd/N: an open file of this process; else -1 */
    int error;        /* why nothing can stand there: no such folder, a circle of links, ENOMEM; else 0 */
    bool there;       /* something stands there: `is` describes it */
    struct stat is;
    struct stat folder; /* the folder of path */
} sm_target;

/* standard: the descriptor that "-" stands for. Destroy it in every case. */
sm_target sm_target_of(const char *path, int standard);
void sm_target_destroy(sm_target *t);

/* Terminals, /dev/null and sockets may serve twice; all else keeps one document. One descriptor is always the same. */
bool sm_target_same(const sm_target *a, const sm_target *b);
/* A pipe or a device: it can only be written as it is, not replaced. True for every descriptor. */
bool sm_target_is_stream(const sm_target *t);

/* Why a file cannot be written or replaced there, with the error or 0; NULL if it can. A file on which no write bit is
 * set is refused to everyone, for whom the system would replace it too. */
const char *sm_target_refuses(const sm_target *t, int *error);
/* The same of a folder that is there, or would be made with those above it. */
const char *sm_target_refuses_folder(const char *path, int *error);

#endif
