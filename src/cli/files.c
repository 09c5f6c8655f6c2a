/* files.c - reading whole files, and what stands at a name.
 *
 * Contents: 1. reading  2. what stands there
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/files.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli/target.h"

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

/* 2. What stands there */

/* What cannot be looked at must not be taken for missing, and replaced. */
sm_status sm_file_read_old(const char *path, sm_text *out, bool *there, sm_diag *d)
{
    sm_target t = sm_target_of(path, STDOUT_FILENO);
    *there = (t.there || t.error) && !sm_target_is_stream(&t);
    const sm_status s = t.error == ENOMEM ? SM_NO_MEMORY : *there ? sm_file_read(path, out, d) : SM_OK;
    sm_target_destroy(&t);
    return s;
}

bool sm_file_is_there(const char *path)
{
    return access(path, F_OK) == 0;
}

bool sm_file_is_folder(const char *path)
{
    struct stat there;
    return stat(path, &there) == 0 && S_ISDIR(there.st_mode);
}
