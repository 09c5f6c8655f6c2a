/* files.c - whole files in and out.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/files.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

sm_status sm_file_read(const char *path, sm_text *out, sm_diag *d)
{
    FILE *f = fopen(path, "rb");
    char block[65536];
    size_t n;
    while (f && (n = fread(block, 1, sizeof block, f)) > 0)
        sm_text_putn(out, block, n);
    bool bad = !f || ferror(f);
    if (bad)
        sm_diag_add(d, SM_FAULT, (sm_place){.file = path}, "cannot be read: %s", strerror(errno));
    if (f)
        fclose(f);
    sm_text_puts(out, "");
    return bad ? SM_REFUSED : out->failed ? SM_NO_MEMORY : SM_OK;
}

static bool write_all(FILE *f, const char *text, size_t n, bool sync)
{
    bool done = fwrite(text, 1, n, f) == n && fflush(f) == 0;
    return done && (!sync || fsync(fileno(f)) == 0);
}

/* A new file beside path with its rights, and its name in name. */
static FILE *open_beside(const char *path, sm_text *name)
{
    sm_text_addf(name, "%s.XXXXXX", path);
    int fd = name->failed ? -1 : mkstemp(name->s);
    struct stat old;
    if (fd >= 0 && fchmod(fd, stat(path, &old) == 0 ? old.st_mode & 0777 : 0644) != 0)
        errno = 0; /* rights are a courtesy: the file is still written */
    FILE *f = fd >= 0 ? fdopen(fd, "wb") : NULL;
    if (fd >= 0 && !f)
        close(fd);
    return f;
}

static bool write_beside(const char *path, const char *text, size_t n)
{
    sm_text name = {0};
    FILE *f = open_beside(path, &name);
    bool done = f && write_all(f, text, n, true);
    if (f && fclose(f) != 0)
        done = false;
    done = done && rename(name.s, path) == 0;
    if (f && !done) {
        int kept = errno;
        unlink(name.s);
        errno = kept;
    }
    sm_text_destroy(&name);
    return done;
}

sm_status sm_file_write_atomic(const char *path, const char *text, size_t n, sm_diag *d)
{
    bool done = strcmp(path, "-") == 0 ? write_all(stdout, text, n, false) : write_beside(path, text, n);
    if (done)
        return SM_OK;
    sm_diag_add(d, SM_FAULT, (sm_place){.file = path}, "could not be written: %s", strerror(errno));
    return SM_NOT_WRITTEN;
}
