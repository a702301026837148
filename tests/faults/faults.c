/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The whole program, in which the n-th call of one kind goes wrong. Our own calls are turned into these when linking
 * (--wrap); those that libraries make among themselves are not. The environment says what happens:
 *   FAULT_KIND    memory, write, fsync, fchmod, close, mkstemp, rename; or all, of those that write
 *   FAULT_AT      which call, from 1
 *   FAULT_ACTION  fail (default), kill (the process, before the call), short (half is written), interrupt (EINTR)
 *   FAULT_COUNT   a file: how many calls of the kind there were is written there at the end */
#define _XOPEN_SOURCE 700
#include <errno.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

int earshot_main(int argc, char **argv);

static const char *kind, *action;
static long at;
static atomic_long calls;

/* Whether this call is the one. A process to be killed is, here. */
static bool strikes(const char *what)
{
    const bool counts = kind && (strcmp(kind, what) == 0 || (strcmp(kind, "all") == 0 && strcmp(what, "memory") != 0));
    if (!counts || atomic_fetch_add(&calls, 1) + 1 != at) return false;
    if (strcmp(action, "kill") == 0) raise(SIGKILL);
    return true;
}

static bool fails(const char *what, int why)
{
    if (!strikes(what)) return false;
    errno = strcmp(action, "interrupt") == 0 ? EINTR : why;
    return true;
}

/* ---- memory ---- */

void *__real_malloc(size_t size);
void *__real_calloc(size_t n, size_t size);
void *__real_realloc(void *memory, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t n, size_t size);
void *__wrap_realloc(void *memory, size_t size);

void *__wrap_malloc(size_t size)
{
    return fails("memory", ENOMEM) ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t n, size_t size)
{
    return fails("memory", ENOMEM) ? NULL : __real_calloc(n, size);
}

void *__wrap_realloc(void *memory, size_t size)
{
    return fails("memory", ENOMEM) ? NULL : __real_realloc(memory, size);
}

/* ---- files ---- */

ssize_t __real_write(int fd, const void *data, size_t size);
int __real_fsync(int fd);
int __real_fchmod(int fd, mode_t mode);
int __real_close(int fd);
int __real_mkstemp(char *name);
int __real_rename(const char *from, const char *to);
ssize_t __wrap_write(int fd, const void *data, size_t size);
int __wrap_fsync(int fd);
int __wrap_fchmod(int fd, mode_t mode);
int __wrap_close(int fd);
int __wrap_mkstemp(char *name);
int __wrap_rename(const char *from, const char *to);

ssize_t __wrap_write(int fd, const void *data, size_t size)
{
    if (!strikes("write")) return __real_write(fd, data, size);
    if (strcmp(action, "short") == 0) return __real_write(fd, data, (size + 1) / 2);
    errno = strcmp(action, "interrupt") == 0 ? EINTR : ENOSPC;
    return -1;
}

int __wrap_fsync(int fd)
{
    return fails("fsync", EIO) ? -1 : __real_fsync(fd);
}

int __wrap_fchmod(int fd, mode_t mode)
{
    return fails("fchmod", EPERM) ? -1 : __real_fchmod(fd, mode);
}

/* As Linux does: the descriptor is gone even so. */
int __wrap_close(int fd)
{
    const bool failed = fails("close", EIO);
    const int why = errno;
    const int closed = __real_close(fd);
    if (!failed) return closed;
    errno = why;
    return -1;
}

int __wrap_mkstemp(char *name)
{
    return fails("mkstemp", EACCES) ? -1 : __real_mkstemp(name);
}

int __wrap_rename(const char *from, const char *to)
{
    return fails("rename", EIO) ? -1 : __real_rename(from, to);
}

/* ---- */

int main(int argc, char **argv)
{
    const char *where = getenv("FAULT_COUNT"), *which = getenv("FAULT_AT");
    action = getenv("FAULT_ACTION");
    if (!action) action = "fail";
    at = which ? strtol(which, NULL, 10) : 0;
    kind = getenv("FAULT_KIND");
    const int status = earshot_main(argc, argv);
    kind = NULL;
    FILE *file = where ? fopen(where, "w") : NULL;
    if (file) {
        fprintf(file, "%ld\n", atomic_load(&calls));
        fclose(file);
    }
    return status;
}
