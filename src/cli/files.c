/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Output, written whole or not at all, with every result of a call looked at. */
#define _XOPEN_SOURCE 700
#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/number.h"
#include "cli/cli.h"

static cli_exit no_memory(void)
{
    cli_complain(NULL, "out of memory");
    return CLI_BAD_FAULT;
}

static int stdout_error; /* why the first write failed */

cli_exit cli_print(earshot_text *text)
{
    if (text->failed) {
        earshot_text_clear(text);
        return no_memory();
    }
    if (text->size && fwrite(text->data, 1, text->size, stdout) < text->size && !stdout_error)
        stdout_error = errno; /* reported by cli_finish */
    earshot_text_clear(text);
    return CLI_OK;
}

cli_exit cli_finish(cli_exit so_far)
{
    const bool flushed = fflush(stdout) == 0 && !ferror(stdout);
    if (!flushed && !stdout_error) stdout_error = errno;
    const bool closed = fclose(stdout) == 0;
    if (flushed && closed) return so_far;
    cli_complain(NULL, "cannot write to standard output: %s", strerror(flushed ? errno : stdout_error));
    return so_far > CLI_BAD_FILE ? so_far : CLI_BAD_FILE;
}

/* ---- files that no result may take the place of: what was read, and what was just written ---- */

enum { MOST_KEPT = 8 }; /* a plan, readings, and a file for every option that names one */

typedef struct identity {
    dev_t device;
    ino_t inode;
} identity;

static identity kept[MOST_KEPT];
static size_t n_kept;

void cli_keep(const char *path)
{
    struct stat now;
    if (n_kept == MOST_KEPT || stat(path, &now) != 0 || !S_ISREG(now.st_mode)) return;
    kept[n_kept++] = (identity){now.st_dev, now.st_ino};
}

static bool is_kept(const char *path)
{
    struct stat now;
    if (stat(path, &now) != 0) return false;
    for (size_t i = 0; i < n_kept; i++)
        if (kept[i].device == now.st_dev && kept[i].inode == now.st_ino) return true;
    return false;
}

/* ---- writing ---- */

static bool write_all(int fd, const char *data, size_t size)
{
    while (size > 0) {
        const ssize_t n = write(fd, data, size);
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return false;
        data += n;
        size -= (size_t)n;
    }
    return true;
}

/* A device or pipe is written to as it is: there is nothing to keep intact. */
static bool write_special(const char *path, const earshot_text *text)
{
    const int fd = open(path, O_WRONLY | O_NOCTTY | O_CLOEXEC);
    if (fd < 0) return false;
    const bool written = write_all(fd, text->data, text->size);
    const int why = errno;
    const bool closed = close(fd) == 0;
    if (!written) errno = why;
    return written && closed;
}

/* So that the new name survives a power cut as the new bytes do. A folder that cannot be opened is no reason to
 * call the file unwritten. */
static void sync_folder(const char *path)
{
    char copy[PATH_MAX];
    if (es_format(copy, sizeof copy, "%s", path) >= (int)sizeof copy) return;
    const int fd = open(dirname(copy), O_RDONLY | O_CLOEXEC);
    if (fd < 0) return;
    fsync(fd);
    close(fd);
}

static bool fill_and_close(int fd, const earshot_text *text, mode_t mode)
{
    const bool done = write_all(fd, text->data, text->size) && fchmod(fd, mode) == 0 && fsync(fd) == 0;
    const int why = errno;
    const bool closed = close(fd) == 0;
    if (!done) errno = why;
    return done && closed;
}

static bool replace_file(const char *path, const earshot_text *text, mode_t mode)
{
    char temporary[PATH_MAX];
    char copy[PATH_MAX];
    if (es_format(copy, sizeof copy, "%s", path) >= (int)sizeof copy ||
        es_format(temporary, sizeof temporary, "%s/.earshot-XXXXXX", dirname(copy)) >= (int)sizeof temporary) {
        errno = ENAMETOOLONG;
        return false;
    }
    const int fd = mkstemp(temporary);
    if (fd < 0) return false;
    if (fill_and_close(fd, text, mode) && rename(temporary, path) == 0) {
        sync_folder(path);
        return true;
    }
    const int why = errno;
    unlink(temporary);
    errno = why;
    return false;
}

static mode_t new_file_mode(void)
{
    const mode_t mask = umask(0);
    umask(mask);
    return (mode_t)(0666 & ~mask);
}

static bool write_path(const char *path, const earshot_text *text)
{
    struct stat now;
    char target[PATH_MAX];
    if (stat(path, &now) != 0) return errno == ENOENT && replace_file(path, text, new_file_mode());
    if (S_ISDIR(now.st_mode)) {
        errno = EISDIR;
        return false;
    }
    if (!S_ISREG(now.st_mode)) return write_special(path, text);
    /* A file that we may not write to is not ours to replace; a link stays a link. */
    if (access(path, W_OK) != 0 || !realpath(path, target)) return false;
    return replace_file(target, text, now.st_mode & 07777);
}

cli_exit cli_write(const char *path, earshot_text *text)
{
    if (strcmp(path, "-") == 0) return cli_print(text);
    if (text->failed) {
        earshot_text_clear(text);
        return no_memory();
    }
    if (is_kept(path)) {
        earshot_text_clear(text);
        cli_complain("name another file for the result", "'%s' is in use already: it was read, or just written", path);
        return CLI_USAGE;
    }
    const bool written = write_path(path, text);
    if (!written) cli_complain(NULL, "cannot write '%s': %s", path, strerror(errno));
    if (written) cli_keep(path);
    earshot_text_clear(text);
    return written ? CLI_OK : CLI_BAD_FILE;
}
