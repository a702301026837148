/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/arena.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

typedef struct chunk {
    struct chunk *next;
    size_t used, size;
    max_align_t data[];
} chunk;

struct es_arena {
    chunk *first;
};

enum { CHUNK_BYTES = 16 * 1024 - (int)sizeof(chunk) };

es_arena *es_arena_new(void)
{
    return calloc(1, sizeof(es_arena));
}

void es_arena_free(es_arena *arena)
{
    if (!arena) return;
    for (chunk *c = arena->first, *next; c; c = next) {
        next = c->next;
        free(c);
    }
    free(arena);
}

static chunk *add_chunk(es_arena *arena, size_t bytes)
{
    const size_t size = bytes > CHUNK_BYTES ? bytes : CHUNK_BYTES;
    chunk *c = calloc(1, sizeof(chunk) + size);
    if (!c) return NULL;
    c->size = size;
    /* A large item gets a chunk of its own behind the current one, which still has room. */
    if (arena->first && bytes > CHUNK_BYTES) {
        c->next = arena->first->next;
        arena->first->next = c;
    } else {
        c->next = arena->first;
        arena->first = c;
    }
    return c;
}

void *es_arena_take(es_arena *arena, size_t n, size_t size)
{
    const size_t align = sizeof(max_align_t);
    if (size && n > (SIZE_MAX / 2) / size) return NULL;
    const size_t bytes = (n * size + align - 1) / align * align;
    chunk *c = arena->first;
    if (!c || c->size - c->used < bytes) c = add_chunk(arena, bytes);
    if (!c) return NULL;
    void *place = (char *)c->data + c->used;
    c->used += bytes;
    return place;
}

char *es_arena_string(es_arena *arena, const char *text, size_t n)
{
    char *copy = es_arena_take(arena, n + 1, 1);
    if (copy && n) memcpy(copy, text, n);
    return copy;
}

void *es_arena_copy(es_arena *arena, const void *items, size_t n, size_t size)
{
    void *copy = es_arena_take(arena, n, size);
    if (copy && n) memcpy(copy, items, n * size);
    return copy;
}

bool es_grow(void **items, size_t *capacity, size_t n, size_t size)
{
    if (n < *capacity) return true;
    const size_t more = *capacity ? *capacity * 2 : 16;
    if (more > SIZE_MAX / size) return false;
    void *moved = realloc(*items, more * size);
    if (!moved) return false;
    *items = moved;
    *capacity = more;
    return true;
}
