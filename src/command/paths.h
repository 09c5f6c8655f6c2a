/* paths.h - the names of files beside others.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_COMMAND_PATHS_H
#define SM_COMMAND_PATHS_H

/* path, if it is not absolute, as seen from the folder of the file `beside`. On the heap; NULL without memory. */
char *sm_path_beside(const char *beside, const char *path);

/* "case-keys.txt" for "case.json", ".json" and "-keys.txt". A name that would become too long for a file system is cut,
 * and told from others of the same beginning by a digest. On the heap; NULL without memory. */
char *sm_path_ending(const char *path, const char *without, const char *ending);

#endif
