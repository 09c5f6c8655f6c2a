/* files.c - reading whole files, and the names of those beside them.
 *
 * Contents: 1. reading  2. names
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/files.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdint.h>
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
    do
        *fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    while (*fd < 0 && errno == EINTR);
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

/* 2. Names */

char *sm_file_beside(const char *beside, const char *path)
{
    const char *slash = strrchr(beside, '/');
    sm_text name = {0};
    if (path[0] != '/' && slash)
        sm_text_putn(&name, beside, (size_t)(slash - beside) + 1);
    sm_text_puts(&name, path);
    return sm_text_take(&name);
}

/* 32-bit FNV-1a. */
static uint32_t digest(const char *s)
{
    uint32_t h = 2166136261U;
    for (; *s; s++)
        h = (h ^ (unsigned char)*s) * 16777619U;
    return h;
}

/* The number of bytes of s, at most n, that end with a whole character of UTF-8. */
static size_t whole_characters(const char *s, size_t n)
{
    while (n > 0 && ((unsigned char)s[n] & 0xC0) == 0x80)
        n--;
    return n;
}

char *sm_file_ending(const char *path, const char *without, const char *ending)
{
    enum { LONGEST = 255, DIGEST = 9 }; /* bytes of a name on the usual file systems */
    const char *slash = strrchr(path, '/'), *name = slash ? slash + 1 : path;
    const size_t folder = (size_t)(name - path), end = strlen(without);
    size_t n = strlen(name);
    sm_text out = {0};
    if (n > end && strcmp(name + n - end, without) == 0)
        n -= end;
    const bool fits = n + strlen(ending) <= LONGEST;
    if (!fits)
        n = whole_characters(name, LONGEST - strlen(ending) - DIGEST);
    sm_text_putn(&out, path, folder + n);
    if (!fits)
        sm_text_addf(&out, "-%08x", (unsigned)digest(name));
    sm_text_puts(&out, ending);
    return sm_text_take(&out);
}
