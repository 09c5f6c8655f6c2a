/* staging.c - documents on their way to the disc: all of them are put in place together, or none is.
 *
 * A file is written beside its place under a temporary name and renamed. Before one that is there is replaced, a second
 * name is linked to it, so that it can be put back if a later one fails; if there are no links, it is copied.
 *
 * Contents: 1. complaints  2. writing to an open file  3. staging  4. folders  5. putting in place  6. all together
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/staging.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/grow.h"
#include "cli/signals.h"
#include "cli/target.h"
#include "cli/temporary.h"
#include "outside/terminal.h"

struct sm_staged {
    char *path; /* as it was given */
    sm_target target;
    sm_text text;      /* of a stream */
    const char *waits; /* of a file: its temporary name */
    char *old;         /* of a file: a second name for what it replaces, or for its copy */
    bool kept;         /* that stands there now */
    bool new;          /* it replaced nothing */
};

/* 1. Complaints */

static sm_status complain(const char *path, const char *words, int error)
{
    sm_diag d = {0};
    if (error == ENOMEM)
        return SM_NO_MEMORY;
    sm_diag_add(&d, SM_FAULT, (sm_place){.file = strcmp(path, "-") == 0 ? "standard output" : path}, "%s%s%s", words,
                error ? ": " : "", error ? strerror(error) : "");
    const sm_status s = sm_terminal_tell_diag(&d, SM_NOT_WRITTEN);
    sm_diag_destroy(&d);
    return s;
}

static sm_status not_written(const char *path, int error)
{
    return error ? complain(path, "could not be written", error) : SM_OK;
}

/* 2. Writing to an open file. Each returns 0, or the error. */

static int write_all(int fd, const char *text, size_t n)
{
    while (n > 0) {
        const ssize_t done = write(fd, text, n);
        if (done < 0 && errno == EINTR)
            continue;
        if (done < 0)
            return errno;
        text += done;
        n -= (size_t)done;
    }
    return 0;
}

/* After EINTR the descriptor is closed all the same, and must not be closed again. */
static int close_after(int fd, int error)
{
    const int closed = close(fd) == 0 || errno == EINTR ? 0 : errno;
    return error ? error : closed;
}

/* Gives an open file its permissions, and holds until all of it is on the disc. */
static int settle(int fd, mode_t mode)
{
    int done;
    do
        done = fchmod(fd, mode);
    while (done != 0 && errno == EINTR);
    while (done == 0 && fsync(fd) != 0)
        if (errno != EINTR)
            return errno;
    return done == 0 ? 0 : errno;
}

static int write_stream(const sm_staged *x)
{
    const sm_target *t = &x->target;
    if (t->descriptor >= 0)
        return write_all(t->descriptor, sm_text_string(&x->text), x->text.len);
    int fd;
    do
        fd = open(t->path, O_WRONLY | O_CLOEXEC | O_NOCTTY);
    while (fd < 0 && errno == EINTR); /* a pipe waits here for its reader */
    return fd < 0 ? errno : close_after(fd, write_all(fd, sm_text_string(&x->text), x->text.len));
}

/* 3. Staging */

/* The permissions that the new file gets: the old one's, or those that open() would have given. */
static mode_t permissions(const sm_target *t)
{
    if (t->there)
        return t->is.st_mode & 0777;
    const mode_t mask = umask(0);
    umask(mask);
    return 0666 & ~mask;
}

/* An open temporary file in the folder of the target; -1 with errno. */
static int open_beside(const sm_target *t, const char **name)
{
    char *folder = sm_string_copyn(t->path, (size_t)(t->name - t->path));
    const int fd = folder ? sm_temporary_file(folder, name) : -1;
    const int error = folder ? errno : ENOMEM;
    free(folder);
    errno = error;
    return fd;
}

/* The second name is made here: there is no way back from a lack of memory while things are put in place. */
static int write_beside(sm_staged *x, const sm_text *text)
{
    sm_text second = {0};
    const int fd = open_beside(&x->target, &x->waits);
    if (fd < 0)
        return errno;
    sm_text_addf(&second, "%s~", x->waits);
    x->old = sm_text_take(&second);
    int error = x->old ? write_all(fd, sm_text_string(text), text->len) : ENOMEM;
    if (error == 0)
        error = settle(fd, permissions(&x->target));
    return close_after(fd, error);
}

static sm_staged *make_room(sm_staging *s)
{
    sm_staged *grown = sm_grow(s->item, s->n, &s->cap, 8, sizeof *grown);
    if (!grown)
        return NULL;
    s->item = grown;
    return &s->item[s->n];
}

sm_status sm_staging_add(sm_staging *s, const char *path, sm_text *text)
{
    sm_staged *x = text->failed ? NULL : make_room(s);
    char *name = x ? sm_string_copy(path) : NULL;
    int error;
    if (!name) {
        sm_text_destroy(text);
        return SM_NO_MEMORY;
    }
    *x = (sm_staged){.path = name, .target = sm_target_of(path, STDOUT_FILENO)};
    s->n++;
    const char *refusal = sm_target_refuses(&x->target, &error);
    sm_status status = refusal ? complain(path, refusal, error) : SM_OK;
    if (status == SM_OK && sm_target_is_stream(&x->target)) {
        x->text = *text;
        *text = (sm_text){0};
    } else if (status == SM_OK) {
        s->temporary = true;
        status = not_written(path, write_beside(x, text));
    }
    sm_text_destroy(text);
    return status;
}

/* 4. Folders */

/* 0 if the folder is there now, else the error. */
static int make_one(const char *path)
{
    struct stat info;
    if (sm_temporary_folder(path) == 0)
        return 0;
    const int error = errno;
    if (error != EEXIST)
        return error;
    return stat(path, &info) == 0 && S_ISDIR(info.st_mode) ? 0 : ENOTDIR;
}

static int make_above(char *path)
{
    int error = 0;
    for (char *at = path; error == 0 && *at;) {
        at += strspn(at, "/");
        at += strcspn(at, "/");
        const char kept = *at;
        *at = '\0';
        error = make_one(path);
        *at = kept;
    }
    return error;
}

sm_status sm_staging_make_folder(sm_staging *s, const char *path, bool above)
{
    s->temporary = true;
    char *name = sm_string_copy(path);
    const int error = !name ? ENOMEM : above ? make_above(name) : make_one(name);
    free(name);
    return error ? complain(path, "the folder cannot be made", error) : SM_OK;
}

/* 5. Putting in place. Signals are blocked: what is half in place must be finished or put back. */

static int copy_all(int from, int to)
{
    char piece[1 << 14];
    for (;;) {
        const ssize_t n = read(from, piece, sizeof piece);
        if (n == 0)
            return 0;
        if (n < 0 && errno != EINTR)
            return errno;
        const int error = n > 0 ? write_all(to, piece, (size_t)n) : 0;
        if (error)
            return error;
    }
}

/* A copy beside the old file, on the list of what is temporary. 0, or the error. */
static int copy_old(sm_staged *x)
{
    const char *name;
    const int from = open(x->target.path, O_RDONLY | O_CLOEXEC);
    const int to = from < 0 ? -1 : open_beside(&x->target, &name);
    int error = to < 0 ? errno : copy_all(from, to);
    if (to >= 0)
        error = close_after(to, error ? error : settle(to, permissions(&x->target)));
    if (from >= 0)
        close(from);
    char *copy = error == 0 ? sm_string_copy(name) : NULL;
    if (error == 0 && !copy)
        error = ENOMEM;
    if (copy) {
        free(x->old);
        x->old = copy;
        x->kept = true;
    }
    return error;
}

/* A second name beside the first, or a copy. 0, or the error. */
static int keep_old(sm_staged *x)
{
    x->kept = link(x->target.path, x->old) == 0;
    x->new = !x->kept &&errno == ENOENT;
    return x->kept || x->new ? 0 : copy_old(x);
}

static void drop_old(sm_staged *x)
{
    sm_text words = {0};
    sm_text_addf(&words, "is new; what it was stands in %s and could not be removed", x->old ? x->old : "");
    if (x->kept && unlink(x->old) != 0)
        complain(x->path, sm_text_string(&words), errno);
    sm_text_destroy(&words);
    x->kept = false;
}

/* If that fails, the old file stays under its second name, which is reported. */
static void put_back(sm_staged *x)
{
    const bool back = x->kept ? rename(x->old, x->target.path) == 0 : x->new &&unlink(x->target.path) == 0;
    sm_text words = {0};
    sm_text_puts(&words, "is new already, and could not be put back");
    if (x->kept)
        sm_text_addf(&words, "; what it was stands in %s", x->old);
    if (!back)
        complain(x->path, sm_text_string(&words), 0);
    sm_text_destroy(&words);
    x->kept = false;
}

/* The number of files in place; short of all of them with the error. */
static size_t put_all(sm_staging *s, int *error)
{
    size_t i = 0;
    *error = 0;
    for (; i < s->n; i++) {
        sm_staged *x = &s->item[i];
        if (!x->waits)
            continue;
        *error = keep_old(x);
        if (*error == 0 && rename(x->waits, x->target.path) != 0) {
            *error = errno;
            drop_old(x);
        }
        if (*error)
            break;
    }
    return i;
}

static sm_status put_in_place(sm_staging *s)
{
    sm_signals_blocked blocked;
    int error;
    sm_signals_block(&blocked);
    const size_t n = put_all(s, &error);
    const sm_status status = error ? not_written(s->item[n].path, error) : SM_OK;
    for (size_t i = n; error && i-- > 0;)
        if (s->item[i].waits)
            put_back(&s->item[i]);
    for (size_t i = 0; i < n; i++)
        drop_old(&s->item[i]);
    if (status == SM_OK) {
        sm_temporary_forget();
        s->temporary = false;
    }
    sm_signals_unblock(&blocked);
    return status;
}

/* 6. All together */

sm_status sm_staging_commit(sm_staging *s)
{
    sm_status status = SM_OK;
    for (size_t i = 0; status == SM_OK && i < s->n; i++)
        if (sm_target_is_stream(&s->item[i].target))
            status = not_written(s->item[i].path, write_stream(&s->item[i]));
    return status == SM_OK ? put_in_place(s) : status;
}

void sm_staging_destroy(sm_staging *s)
{
    if (s->temporary)
        sm_temporary_remove();
    for (size_t i = 0; i < s->n; i++) {
        free(s->item[i].path);
        free(s->item[i].old);
        sm_target_destroy(&s->item[i].target);
        sm_text_destroy(&s->item[i].text);
    }
    free(s->item);
    *s = (sm_staging){0};
}
