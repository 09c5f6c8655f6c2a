/* temporary.c - what must not outlast the program: files under temporary names, and folders that were just made.
 *
 * Contents: 1. the list  2. making  3. removing
 * SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* mkstemp */
#include "cli/temporary.h"

#include <errno.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/grow.h"
#include "base/text.h"
#include "cli/signals.h"

/* 1. The list */

typedef struct {
    char *name;
    bool folder;
} entry;

/* Changed only while signals are blocked back. */
static struct {
    entry *entry;
    size_t n, cap;
} list;

static bool make_room(void)
{
    entry *grown = sm_grow(list.entry, list.n, &list.cap, 16, sizeof *grown);
    if (!grown)
        return false;
    list.entry = grown;
    return true;
}

/* For a signal's handler: removes, the latest first, and frees nothing. */
static void remove_all(void)
{
    for (size_t i = list.n; i-- > 0;)
        (void)(list.entry[i].folder ? rmdir : unlink)(list.entry[i].name);
}

/* 2. Making */

/* The list takes the name, or it is freed. */
static int make(char *name, bool folder)
{
    sm_signals_blocked blocked;
    sm_signals_block(&blocked);
    const bool room = name && make_room();
    const int made = !room ? -1 : folder ? mkdir(name, 0777) : mkstemp(name);
    const int error = room ? errno : ENOMEM;
    if (made >= 0)
        list.entry[list.n++] = (entry){name, folder};
    else
        free(name);
    sm_signals_unblock(&blocked);
    errno = error;
    return made;
}

int sm_temporary_file(const char *folder, const char **name)
{
    sm_text path = {0};
    sm_signals_clean_by(remove_all);
    const size_t n = strlen(folder);
    sm_text_addf(&path, "%s%s.slimmargin-XXXXXX", folder, n > 0 && folder[n - 1] == '/' ? "" : "/");
    const int fd = make(sm_text_take(&path), false);
    *name = fd >= 0 ? list.entry[list.n - 1].name : NULL;
    return fd;
}

int sm_temporary_folder(const char *path)
{
    sm_signals_clean_by(remove_all);
    return make(sm_string_copy(path), true);
}

/* 3. Removing */

void sm_temporary_forget(void)
{
    sm_signals_blocked blocked;
    sm_signals_block(&blocked);
    for (size_t i = 0; i < list.n; i++)
        free(list.entry[i].name);
    free(list.entry);
    list.entry = NULL;
    list.n = list.cap = 0;
    sm_signals_unblock(&blocked);
}

void sm_temporary_remove(void)
{
    sm_signals_blocked blocked;
    sm_signals_block(&blocked);
    remove_all();
    sm_temporary_forget();
    sm_signals_unblock(&blocked);
}
