/* interrupted.c - loaded before libc by interrupted.py: at the k-th call that touches files or the mask of signals,
 * it raises a signal, or the call fails, or writes one byte only.
 *
 * SM_LOG=FILE  the name of every call, a line each        SM_AT=K  the call that is meant, from 1 on
 * SM_BEFORE=N, SM_AFTER=N  signal N before or after it    SM_ERROR=N  it fails with errno N    SM_SHORT=1  it writes
 * one byte SM_LINKS=0   every link() fails, as on a file system without links
 * SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE
#include <dirent.h>
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

static int calls, log_fd = -1, at, before, after, error, cut, no_links;

static int number(const char *name)
{
    const char *s = getenv(name);
    return s ? atoi(s) : 0;
}

__attribute__((constructor)) static void begin(void)
{
    const char *path = getenv("SM_LOG");
    if (path)
        log_fd = (int)syscall(SYS_openat, AT_FDCWD, path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
    at = number("SM_AT");
    before = number("SM_BEFORE");
    after = number("SM_AFTER");
    error = number("SM_ERROR");
    cut = number("SM_SHORT");
    no_links = getenv("SM_LINKS") && number("SM_LINKS") == 0;
}

/* Whether this call is the one that is meant. */
static bool meant(const char *name)
{
    if (log_fd >= 0) {
        syscall(SYS_write, log_fd, name, strlen(name));
        syscall(SYS_write, log_fd, "\n", 1UL);
    }
    const bool now = ++calls == at;
    if (now && before)
        raise(before);
    return now;
}

static void raise_after(void)
{
    const int kept = errno;
    if (after)
        raise(after);
    errno = kept;
}

/* The call NAME as it is, with what was asked for done to it. */
#define AROUND(type, name, failed, types, values)                                                                      \
    type name types                                                                                                    \
    {                                                                                                                  \
        type(*real) types = (type(*) types)dlsym(RTLD_NEXT, #name);                                                    \
        const bool now = meant(#name);                                                                                 \
        if (now && error) {                                                                                            \
            errno = error;                                                                                             \
            return failed;                                                                                             \
        }                                                                                                              \
        type result = real values;                                                                                     \
        if (now)                                                                                                       \
            raise_after();                                                                                             \
        return result;                                                                                                 \
    }

AROUND(int, mkstemp, -1, (char *name), (name))
AROUND(int, mkdir, -1, (const char *path, mode_t mode), (path, mode))
AROUND(int, rmdir, -1, (const char *path), (path))
AROUND(int, fchmod, -1, (int fd, mode_t mode), (fd, mode))
AROUND(int, fsync, -1, (int fd), (fd))
AROUND(int, rename, -1, (const char *from, const char *to), (from, to))
AROUND(int, unlink, -1, (const char *path), (path))
AROUND(ssize_t, read, -1, (int fd, void *to, size_t n), (fd, to, n))
AROUND(DIR *, opendir, NULL, (const char *path), (path))

/* It is no failure for the mask of signals to be set: an error is passed over. */
int pthread_sigmask(int how, const sigset_t *set, sigset_t *old)
{
    int (*real)(int, const sigset_t *, sigset_t *) =
        (int (*)(int, const sigset_t *, sigset_t *))dlsym(RTLD_NEXT, "pthread_sigmask");
    const bool now = meant("pthread_sigmask");
    const int result = real(how, set, old);
    if (now)
        raise_after();
    return result;
}

int link(const char *from, const char *to)
{
    int (*real)(const char *, const char *) = (int (*)(const char *, const char *))dlsym(RTLD_NEXT, "link");
    const bool now = meant("link");
    struct stat is;
    if ((now && error) || (no_links && stat(from, &is) == 0)) {
        errno = now && error ? error : EPERM;
        return -1;
    }
    const int result = real(from, to);
    if (now)
        raise_after();
    return result;
}

/* As it is after EINTR and EIO on Linux: the descriptor is closed all the same. */
int close(int fd)
{
    const bool now = meant("close");
    const int result = (int)syscall(SYS_close, fd);
    if (now && error) {
        errno = error;
        return -1;
    }
    if (now)
        raise_after();
    return result;
}

ssize_t write(int fd, const void *from, size_t n)
{
    const bool now = meant("write");
    if (now && error) {
        errno = error;
        return -1;
    }
    const ssize_t result = syscall(SYS_write, fd, from, now && cut && n > 1 ? 1 : n);
    if (now)
        raise_after();
    return result;
}

int open(const char *path, int flags, ...)
{
    mode_t mode = 0;
    if (flags & O_CREAT) {
        va_list more;
        va_start(more, flags);
        mode = va_arg(more, mode_t);
        va_end(more);
    }
    const bool now = meant("open");
    if (now && error) {
        errno = error;
        return -1;
    }
    const int fd = (int)syscall(SYS_openat, AT_FDCWD, path, flags, mode);
    if (now)
        raise_after();
    return fd;
}
