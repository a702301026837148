/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files: the plan's own, and those that it uses. */
#define _POSIX_C_SOURCE 200809L
#include "plan/include.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/number.h"

bool es_add_source(es_reader *reader, es_source source)
{
    void *items = reader->sources.item;
    if (!es_grow(&items, &reader->sources.capacity, reader->sources.n, sizeof source)) {
        free(source.owned);
        reader->memory_out = true;
        return false;
    }
    reader->sources.item = items;
    reader->sources.item[reader->sources.n++] = source;
    return true;
}

void es_sources_clear(es_sources *sources)
{
    for (size_t i = 0; i < sources->n; i++) free(sources->item[i].owned);
    free(sources->item);
    *sources = (es_sources){0};
}

/* Bytes of plan text that may still be read. The built-in materials do not count. */
static size_t text_left(const es_reader *reader)
{
    size_t left = EARSHOT_MAX_TEXT;
    for (size_t i = 0; i < reader->sources.n; i++) {
        if (i != ES_FILE_BUILTIN) left -= reader->sources.item[i].size;
    }
    return left;
}

static bool too_long(es_reader *reader, earshot_place place, const char *name)
{
    char shown[ES_SHOWN];
    es_hint(
        es_mistake(&reader->report, EARSHOT_PLAN_LIMIT, place, "'%s' is too long", es_show(shown, name, strlen(name))),
        "a plan and the files it uses have at most %d bytes together", EARSHOT_MAX_TEXT);
    return false;
}

static bool cannot_read(es_reader *reader, earshot_place place, const char *name, const char *why)
{
    char shown[ES_SHOWN];
    es_hint(es_mistake(&reader->report, EARSHOT_FILE_READ, place, "cannot read '%s': %s",
                       es_show(shown, name, strlen(name)), why),
            place.line ? "a file name is relative to the folder of the file that uses it" : "");
    return false;
}

/* strerror may share a buffer between threads; strerror_r does not. */
static bool cannot_read_errno(es_reader *reader, earshot_place place, const char *name)
{
    char why[80];
    if (strerror_r(errno, why, sizeof why) != 0) es_format(why, sizeof why, "error %d", errno);
    return cannot_read(reader, place, name, why);
}

/* One byte more than allowed is read, to tell that there is more. */
static bool read_all(es_reader *reader, int descriptor, earshot_place place, es_source *source)
{
    const size_t limit = text_left(reader);
    size_t capacity = 0;
    for (;;) {
        if (source->size == capacity) {
            capacity = capacity ? capacity * 2 : 16384;
            char *moved = realloc(source->owned, capacity);
            if (!moved) {
                reader->memory_out = true;
                return false;
            }
            source->owned = moved;
        }
        const ssize_t got = read(descriptor, source->owned + source->size, capacity - source->size);
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) return cannot_read_errno(reader, place, source->name);
        source->size += (size_t)got;
        if (source->size > limit) return too_long(reader, place, source->name);
        if (got == 0) return true;
    }
}

static void identify(es_source *source, const struct stat *status)
{
    source->on_disk = true;
    source->device = (unsigned long long)status->st_dev;
    source->inode = (unsigned long long)status->st_ino;
}

static bool load(es_reader *reader, int descriptor, earshot_place place, es_source *source)
{
    if (!read_all(reader, descriptor, place, source)) {
        free(source->owned);
        return false;
    }
    source->text = source->owned;
    return true;
}

bool es_load_plan(es_reader *reader, const char *path)
{
    const earshot_place nowhere = {ES_FILE_PLAN, 0, 0, 0};
    es_source source = {.name = es_keep(reader, path, strlen(path))};
    if (!source.name) return false;
    const int descriptor = open(path, O_RDONLY | O_CLOEXEC);
    if (descriptor < 0) return cannot_read_errno(reader, nowhere, path);
    struct stat status;
    if (fstat(descriptor, &status) == 0) identify(&source, &status);
    const bool loaded = load(reader, descriptor, nowhere, &source);
    close(descriptor);
    return loaded && es_add_source(reader, source);
}

bool es_check_size(es_reader *reader, const char *name, size_t size)
{
    return size <= EARSHOT_MAX_TEXT || too_long(reader, (earshot_place){ES_FILE_PLAN, 0, 0, 0}, name);
}

/* The path of a used file: relative to the folder of its user. */
static const char *resolve(es_reader *reader, const earshot_use *use)
{
    const char *user = reader->sources.item[use->place.file].name;
    const char *slash = strrchr(user, '/');
    if (use->path[0] == '/' || !slash) return use->path;
    const size_t n_folder = (size_t)(slash - user) + 1, n_path = strlen(use->path);
    char *path = es_arena_take(reader->arena, n_folder + n_path + 1, 1);
    if (!path) {
        reader->memory_out = true;
        return NULL;
    }
    memcpy(path, user, n_folder);
    memcpy(path + n_folder, use->path, n_path);
    return path;
}

static bool same_file(const es_source *a, const es_source *b)
{
    return a->on_disk && b->on_disk && a->device == b->device && a->inode == b->inode;
}

static bool uses_itself(es_reader *reader, earshot_place place, const es_source *wanted)
{
    size_t user = place.file;
    for (;;) {
        const es_source *source = &reader->sources.item[user];
        if (same_file(source, wanted)) return true;
        if (source->user == user) return false;
        user = source->user;
    }
}

static bool read_before(const es_reader *reader, const es_source *wanted)
{
    for (size_t i = 0; i < reader->sources.n; i++) {
        if (same_file(&reader->sources.item[i], wanted)) return true;
    }
    return false;
}

/* Whether an open file may be read: not when it is above its user already, and not when it is a pipe, which could
 * make us wait for ever. */
static bool may_read(es_reader *reader, int descriptor, earshot_place place, es_source *source)
{
    struct stat status;
    if (fstat(descriptor, &status) != 0) return cannot_read_errno(reader, place, source->name);
    if (!S_ISREG(status.st_mode)) return cannot_read(reader, place, source->name, "it is not an ordinary file");
    identify(source, &status);
    if (!uses_itself(reader, place, source)) return true;
    char shown[ES_SHOWN];
    es_hint(es_invalid(reader, place, "'%s' uses itself", es_show(shown, source->name, strlen(source->name))),
            "files cannot use each other in a circle");
    return false;
}

static bool load_used(es_reader *reader, earshot_place place, es_source *source)
{
    const int descriptor = open(source->name, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (descriptor < 0) return cannot_read_errno(reader, place, source->name);
    bool fine = may_read(reader, descriptor, place, source);
    /* A file that several others use is read once. */
    if (fine && !read_before(reader, source)) fine = load(reader, descriptor, place, source);
    close(descriptor);
    return fine;
}

static bool too_deep(es_reader *reader, earshot_place place)
{
    es_hint(es_mistake(&reader->report, EARSHOT_PLAN_LIMIT, place, "files use files too deep"),
            "at most %d may use each other in a row", EARSHOT_MAX_INCLUDE_DEPTH);
    return false;
}

void es_read_use(es_reader *reader, const earshot_use *use)
{
    const unsigned depth = reader->sources.item[use->place.file].depth + 1;
    const earshot_place place = es_positional_place(reader, use->place, 0);
    es_source source = {.name = resolve(reader, use), .user = use->place.file, .depth = depth};
    if (!source.name) return;
    const bool fine = depth <= EARSHOT_MAX_INCLUDE_DEPTH ? load_used(reader, place, &source) : too_deep(reader, place);
    if (!fine) reader->lost_files = true;
    if (!source.text) return;
    const unsigned file = (unsigned)reader->sources.n;
    if (es_add_source(reader, source)) es_read_source(reader, file);
}
