/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Memory that is freed all at once, and arrays that grow. */
#ifndef ES_ARENA_H
#define ES_ARENA_H

#include <stdbool.h>
#include <stddef.h>

typedef struct es_arena es_arena;

/* NULL when memory is out. */
es_arena *es_arena_new(void);
void es_arena_free(es_arena *arena);
/* Zeroed, aligned for any type; NULL when memory is out. n * size is checked for overflow; 0 items give a valid
 * pointer. */
void *es_arena_take(es_arena *arena, size_t n, size_t size);
/* Copies n bytes and adds a NUL. */
char *es_arena_string(es_arena *arena, const char *text, size_t n);
void *es_arena_copy(es_arena *arena, const void *items, size_t n, size_t size);

/* Make room for one more item in a malloc'ed array of n items: *items may move. false when memory is out (the array
 * is then unchanged). */
bool es_grow(void **items, size_t *capacity, size_t n, size_t size);

#endif
