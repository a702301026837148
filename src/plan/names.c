/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/names.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

/* FNV-1a, 64 bits: http://www.isthe.com/chongo/tech/comp/fnv/ (from memory). Chains bear a bad choice of names: a
 * plan of 16 MB cannot hold enough of them to matter. */
static size_t hash(es_space space, const char *name)
{
    uint64_t h = 14695981039346656037u ^ (uint64_t)space;
    for (; *name; name++) h = (h ^ (unsigned char)*name) * 1099511628211u;
    return (size_t)(h ^ h >> 32);
}

static void link_entry(es_names *names, size_t i)
{
    es_named *named = &names->named[i];
    size_t *bucket = &names->bucket[hash(named->space, named->name) % names->n_buckets];
    named->next = *bucket;
    *bucket = i;
}

static bool make_buckets(es_names *names)
{
    if (names->n < names->n_buckets) return true;
    const size_t n_buckets = names->n_buckets ? names->n_buckets * 2 : 256;
    size_t *bucket = malloc(n_buckets * sizeof *bucket);
    if (!bucket) return false;
    for (size_t i = 0; i < n_buckets; i++) bucket[i] = ES_NO_NAME;
    free(names->bucket);
    names->bucket = bucket;
    names->n_buckets = n_buckets;
    for (size_t i = 0; i < names->n; i++) link_entry(names, i);
    return true;
}

bool es_names_add(es_names *names, es_named named)
{
    void *items = names->named;
    if (!es_grow(&items, &names->capacity, names->n, sizeof named)) return false;
    names->named = items;
    if (!make_buckets(names)) return false;
    names->named[names->n] = named;
    link_entry(names, names->n);
    names->n++;
    return true;
}

es_named *es_names_find(const es_names *names, es_space space, const char *name, const es_named *after)
{
    if (!names->n_buckets) return NULL;
    size_t i = after ? after->next : names->bucket[hash(space, name) % names->n_buckets];
    for (; i != ES_NO_NAME; i = names->named[i].next) {
        es_named *named = &names->named[i];
        if (named->space == space && strcmp(named->name, name) == 0) return named;
    }
    return NULL;
}

void es_names_clear(es_names *names)
{
    free(names->named);
    free(names->bucket);
    *names = (es_names){0};
}

const char *es_names_nearest(const es_names *names, es_space space, const char *name)
{
    es_nearest nearest = es_nearest_to(name, strlen(name));
    for (size_t i = 0; i < names->n; i++) {
        if (names->named[i].space == space) es_nearest_offer(&nearest, names->named[i].name);
    }
    return nearest.best;
}

const char *es_space_noun(es_space space)
{
    static const char *const NOUN[ES_SPACES] = {"name",   "electrical class",  "material", "radio",
                                                "storey", "receiver or mount", "device",   "scene"};
    return NOUN[space];
}
