/* files.c - reading whole files, and writing them so that no half of one ever stands there.
 *
 * Contents: 1. reading  2. writing to an open file  3. a new file in place of an old one  4. folders  5. names
 * SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* realpath */
#include "cli/files.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static sm_status complain(sm_diag *d, const char *path, const char *words, int error, sm_status status)
{
    sm_diag_add(d, SM_FAULT, (sm_place){.file = path}, "%s%s%s", words, error ? ": " : "",
                error ? strerror(error) : "");
    return status;
}

/* 1. Reading */

static sm_status read_all(int fd, const char *path, sm_text *out, sm_diag *d)
{
    char piece[1 << 14];
    size_t total = 0;
    for (;;) {
        ssize_t n = read(fd, piece, sizeof piece);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return complain(d, path, "cannot be read", errno, SM_REFUSED);
        if (n == 0)
            return out->failed ? SM_NO_MEMORY : SM_OK;
        total += (size_t)n;
        if (total > SM_FILE_LIMIT)
            return complain(d, path, "is larger than 16 MB; a case or a profile is a few kilobytes", 0, SM_REFUSED);
        sm_text_putn(out, piece, (size_t)n);
    }
}

static sm_status open_to_read(const char *path, int *fd, sm_diag *d)
{
    struct stat info;
    *fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (*fd < 0)
        return complain(d, path, errno == ENOENT ? "there is no such file" : "cannot be opened",
                        errno == ENOENT ? 0 : errno, SM_REFUSED);
    if (fstat(*fd, &info) == 0 && S_ISDIR(info.st_mode)) {
        close(*fd);
        return complain(d, path, "is a folder, not a file", 0, SM_REFUSED);
    }
    fcntl(*fd, F_SETFL, 0); /* O_NONBLOCK only kept a pipe without a writer from blocking open */
    return SM_OK;
}

sm_status sm_file_read(const char *path, sm_text *out, sm_diag *d)
{
    int fd = STDIN_FILENO;
    const bool standard = strcmp(path, "-") == 0;
    sm_status s = standard ? SM_OK : open_to_read(path, &fd, d);
    if (s != SM_OK)
        return s;
    s = read_all(fd, standard ? "standard input" : path, out, d);
    if (!standard)
        close(fd);
    return s;
}

/* 2. Writing to an open file */

/* 0, or the error. */
static int write_all(int fd, const char *text, size_t n)
{
    while (n > 0) {
        ssize_t done = write(fd, text, n);
        if (done < 0 && errno == EINTR)
            continue;
        if (done < 0)
            return errno;
        text += done;
        n -= (size_t)done;
    }
    return 0;
}

static int write_and_close(int fd, const char *text, size_t n, bool sync)
{
    int error = write_all(fd, text, n);
    if (error == 0 && sync && fsync(fd) != 0)
        error = errno;
    if (close(fd) != 0 && error == 0)
        error = errno;
    return error;
}

/* 3. A new file in place of an old one */

/* Devices and pipes cannot be replaced, only written. */
static bool is_special(const char *path)
{
    struct stat info;
    return stat(path, &info) == 0 && !S_ISREG(info.st_mode) && !S_ISDIR(info.st_mode);
}

static int write_special(const char *path, const char *text, size_t n)
{
    int fd = open(path, O_WRONLY | O_CLOEXEC);
    return fd < 0 ? errno : write_and_close(fd, text, n, false);
}

/* The permissions that the new file gets: the old one's, or those that open() would have given. */
static mode_t permissions(const char *path)
{
    struct stat info;
    if (stat(path, &info) == 0)
        return info.st_mode & 0777;
    mode_t mask = umask(0);
    umask(mask);
    return 0666 & ~mask;
}

static int write_beside(const char *path, const char *text, size_t n)
{
    sm_text name = {0};
    sm_text_addf(&name, "%s.XXXXXX", path);
    int fd = name.failed ? -1 : mkstemp(name.s);
    int error = fd < 0 ? (name.failed ? ENOMEM : errno) : 0;
    if (fd >= 0) {
        error = fchmod(fd, permissions(path)) == 0 ? 0 : errno;
        int written = write_and_close(fd, text, n, true);
        error = error ? error : written;
        if (error == 0 && rename(name.s, path) != 0)
            error = errno;
        if (error)
            unlink(name.s);
    }
    sm_text_destroy(&name);
    return error;
}

/* Follows links, so that a link stays one and its target is replaced. */
static int replace(const char *path, const char *text, size_t n)
{
    char *target = realpath(path, NULL);
    int error = write_beside(target ? target : path, text, n);
    free(target);
    return error;
}

sm_status sm_file_write_atomic(const char *path, const char *text, size_t n, sm_diag *d)
{
    const bool standard = strcmp(path, "-") == 0;
    int error = standard           ? write_all(STDOUT_FILENO, text, n)
                : is_special(path) ? write_special(path, text, n)
                                   : replace(path, text, n);
    if (error == 0)
        return SM_OK;
    return complain(d, standard ? "standard output" : path, "could not be written", error, SM_NOT_WRITTEN);
}

sm_status sm_file_check_writable(const char *path, sm_diag *d)
{
    struct stat info;
    if (strcmp(path, "-") == 0 || is_special(path))
        return SM_OK;
    if (stat(path, &info) == 0 && S_ISDIR(info.st_mode))
        return complain(d, path, "is a folder: the name of a file is needed", 0, SM_NOT_WRITTEN);
    char *folder = sm_file_beside(path, ".");
    int error = !folder ? ENOMEM : access(folder, W_OK | X_OK) == 0 ? 0 : errno;
    free(folder);
    return error ? complain(d, path, "cannot be written there", error, SM_NOT_WRITTEN) : SM_OK;
}

/* 4. Folders */

/* 0 where the folder is there now, else the error. */
static int make_one(const char *path)
{
    struct stat info;
    if (mkdir(path, 0777) == 0)
        return 0;
    int error = errno;
    if (error != EEXIST)
        return error;
    return stat(path, &info) == 0 && S_ISDIR(info.st_mode) ? 0 : ENOTDIR;
}

sm_status sm_file_make_folder(const char *path, sm_diag *d)
{
    char *name = sm_string_copy(path);
    int error = name ? 0 : ENOMEM;
    for (char *at = name; error == 0 && at && *at;) {
        at += strspn(at, "/");
        at += strcspn(at, "/");
        const char kept = *at;
        *at = '\0';
        error = name[0] ? make_one(name) : 0;
        *at = kept;
    }
    free(name);
    return error ? complain(d, path, "the folder could not be made", error, SM_NOT_WRITTEN) : SM_OK;
}

/* 5. Names */

char *sm_file_beside(const char *beside, const char *path)
{
    const char *slash = strrchr(beside, '/');
    sm_text name = {0};
    if (path[0] != '/' && slash)
        sm_text_putn(&name, beside, (size_t)(slash - beside) + 1);
    sm_text_puts(&name, path);
    return sm_text_take(&name);
}
