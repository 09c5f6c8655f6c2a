/* world.h - the outside as a page has it: files that were handed over, those that a command wrote, and what it said;
 * all in memory, for one command at a time.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WEB_WORLD_H
#define SM_WEB_WORLD_H

#include <stdbool.h>

#include "base/status.h"
#include "base/text.h"

typedef struct {
    char *name; /* without "." and ".." on the way */
    sm_text text;
    bool written; /* by a command */
} sm_world_file;

typedef struct {
    sm_world_file *file;
    size_t n, cap;
    sm_text out, err; /* standard output, standard error */
} sm_world;

/* Of this program there is one. */
sm_world *sm_world_here(void);
/* As it begins: empty. */
void sm_world_clear(void);

/* A file of this name; NULL if there is none. */
sm_world_file *sm_world_find(const char *name);
/* Puts a file in place, or replaces it. SM_NO_MEMORY. */
sm_status sm_world_put(const char *name, const char *text, size_t length, bool written);
/* Whether some file lies in this folder. */
bool sm_world_is_folder(const char *name);
/* The name as files have it: "readers/study.csv" for "./lessons/../readers/study.csv". On the heap; NULL without
 * memory.
 */
char *sm_world_name(const char *path);

/* How far a run is, and whether it is to end: asked between its tasks. NULL: nobody is. */
typedef bool (*sm_world_watch)(double share, const char *words);
void sm_world_watch_by(sm_world_watch watch);
sm_world_watch sm_world_watched(void);

#endif
