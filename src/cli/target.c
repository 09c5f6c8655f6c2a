/* target.c - where the name of a file leads: through links, to a descriptor, to what stands there or would stand there.
 *
 * Contents: 1. descriptors  2. links  3. comparing  4. permissions
 * SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* realpath */
#include "cli/target.h"

#include <errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* 1. Descriptors */

static sm_target of_descriptor(int descriptor)
{
    sm_target t = {.descriptor = descriptor};
    t.there = fstat(descriptor, &t.is) == 0;
    return t;
}

/* The descriptor that FOLDER/NAME, free of links up to NAME, is a name of; -1 if of none. */
static int descriptor_of(const char *folder, const char *name)
{
    static const char *const standard[] = {"stdin", "stdout", "stderr"};
    char *end, own[PATH_MAX];
    if (strcmp(folder, "/dev") == 0)
        for (int i = 0; i < 3; i++)
            if (strcmp(name, standard[i]) == 0)
                return i;
    if (strcmp(folder, "/dev/fd") != 0 && (!realpath("/proc/self/fd", own) || strcmp(folder, own) != 0))
        return -1;
    const long n = strtol(name, &end, 10);
    return end == name || *end || n < 0 || n > INT_MAX ? -1 : (int)n;
}

/* 2. Links */

/* path as seen from the folder. */
static char *join(const char *folder, const char *path)
{
    sm_text all = {0};
    if (path[0] != '/')
        sm_text_addf(&all, "%s%s", folder, strcmp(folder, "/") == 0 ? "" : "/");
    sm_text_puts(&all, path);
    return sm_text_take(&all);
}

/* The folder of path, free of links. NULL with errno if there is none. */
static char *folder_of(const char *path)
{
    const char *slash = strrchr(path, '/');
    char *folder = !slash ? sm_string_copy(".") : sm_string_copyn(path, slash == path ? 1 : (size_t)(slash - path));
    char *real = folder ? realpath(folder, NULL) : NULL;
    const int error = folder ? errno : ENOMEM;
    free(folder);
    errno = error;
    return real;
}

/* What the link at path says, as a path. NULL with errno. */
static char *link_at(const char *folder, const char *path)
{
    char words[PATH_MAX];
    const ssize_t n = readlink(path, words, sizeof words - 1);
    if (n < 0)
        return NULL;
    words[n] = '\0';
    char *next = join(folder, words);
    if (!next)
        errno = ENOMEM;
    return next;
}

/* One step from *path: t is complete, or *path is what a link there says. False once there is no further step. */
static bool step(char **path, sm_target *t)
{
    const char *slash = strrchr(*path, '/'), *name = slash ? slash + 1 : *path;
    char *folder = folder_of(*path), *whole = folder ? join(folder, name) : NULL, *next = NULL;
    const int descriptor = folder ? descriptor_of(folder, name) : -1;
    struct stat is;
    t->error = whole ? 0 : folder ? ENOMEM : errno;
    if (descriptor >= 0)
        *t = of_descriptor(descriptor);
    else if (t->error == 0 && lstat(whole, &is) == 0 && S_ISLNK(is.st_mode)) {
        next = link_at(folder, whole);
        t->error = next ? 0 : errno;
    } else if (t->error == 0) {
        t->there = stat(whole, &t->is) == 0;
        t->error = t->there || errno == ENOENT ? 0 : errno;
        if (t->error == 0 && stat(folder, &t->folder) != 0)
            t->error = errno;
        t->path = whole;
        t->name = strrchr(whole, '/') + 1;
        whole = NULL;
    }
    free(folder);
    free(whole);
    free(*path);
    *path = next;
    return next != NULL;
}

sm_target sm_target_of(const char *path, int standard)
{
    enum { MOST_LINKS = 40 }; /* as many as Linux follows */
    if (strcmp(path, "-") == 0)
        return of_descriptor(standard);
    sm_target t = {.descriptor = -1};
    char *at = sm_string_copy(path);
    if (!at)
        t.error = ENOMEM;
    for (int i = 0; at && i < MOST_LINKS && step(&at, &t); i++)
        continue;
    if (at)
        t.error = ELOOP;
    free(at);
    return t;
}

void sm_target_destroy(sm_target *t)
{
    free(t->path);
    *t = (sm_target){.descriptor = -1};
}

/* 3. Comparing */

static bool same_inode(const struct stat *a, const struct stat *b)
{
    return a->st_dev == b->st_dev && a->st_ino == b->st_ino;
}

static bool serves_many(const sm_target *t)
{
    return S_ISCHR(t->is.st_mode) || S_ISSOCK(t->is.st_mode);
}

bool sm_target_same(const sm_target *a, const sm_target *b)
{
    if (a->descriptor >= 0 && a->descriptor == b->descriptor)
        return true;
    if (a->there && b->there)
        return same_inode(&a->is, &b->is) && !serves_many(a);
    return !a->there && !b->there && a->path && b->path && same_inode(&a->folder, &b->folder) &&
           strcmp(a->name, b->name) == 0;
}

bool sm_target_is_stream(const sm_target *t)
{
    return t->descriptor >= 0 || (t->there && !S_ISREG(t->is.st_mode) && !S_ISDIR(t->is.st_mode));
}

/* 4. Permissions */

/* The error of an access to put files into a folder, or 0. */
static int closed(const char *folder)
{
    return !folder ? ENOMEM : access(folder, W_OK | X_OK) == 0 ? 0 : errno;
}

/* access() alone would let the superuser through. */
static bool is_protected(const sm_target *t)
{
    return t->there && ((t->is.st_mode & (S_IWUSR | S_IWGRP | S_IWOTH)) == 0 || access(t->path, W_OK) != 0);
}

const char *sm_target_refuses(const sm_target *t, int *error)
{
    *error = t->error;
    if (t->error == 0 && t->there && S_ISDIR(t->is.st_mode))
        return "is a folder: the name of a file is needed";
    if (t->error == 0 && sm_target_is_stream(t))
        return NULL;
    if (t->error == 0 && is_protected(t))
        return "is protected against writing: it stays as it is";
    if (t->error == 0) {
        char *folder = sm_string_copyn(t->path, (size_t)(t->name - t->path));
        *error = closed(folder);
        free(folder);
    }
    return *error ? "cannot be written there" : NULL;
}

/* Takes the last part off a path. */
static void cut(char *path)
{
    char *slash = strrchr(path, '/');
    if (slash && slash > path)
        *slash = '\0';
    else
        strcpy(path, slash ? "/" : ".");
}

/* What counts is the lowest folder that is there. */
const char *sm_target_refuses_folder(const char *path, int *error)
{
    struct stat is;
    char *at = sm_string_copy(path);
    *error = at ? 0 : ENOMEM;
    while (at && stat(at, &is) != 0 && *error == 0) {
        *error = errno == ENOENT && lstat(at, &is) != 0 ? 0 : errno;
        if (at[0] && at[1])
            cut(at);
        else
            strcpy(at, ".");
    }
    if (*error == 0)
        *error = S_ISDIR(is.st_mode) ? closed(at) : ENOTDIR;
    free(at);
    return *error ? "the folder cannot be made" : NULL;
}
