/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is called what: a table of names, each in the space of its kind. */
#ifndef ES_NAMES_H
#define ES_NAMES_H

#include "base/nearest.h"
#include "earshot/plan.h"

typedef enum es_space {
    ES_SPACE_NONE, /* what has no name */
    ES_SPACE_ELECTRICAL,
    ES_SPACE_MATERIAL,
    ES_SPACE_RADIO,
    ES_SPACE_STOREY,
    ES_SPACE_POST, /* receivers and mounts */
    ES_SPACE_DEVICE,
    ES_SPACE_SCENE,
    ES_SPACES
} es_space;

#define ES_BROKEN ((size_t)-1)
#define ES_NO_NAME ((size_t)-1)

typedef struct es_named {
    es_space space;
    const char *name;
    earshot_place place;
    size_t item;    /* index in the plan's array; ES_BROKEN: its statement could not be read */
    double band_hz; /* of a radio; NAN otherwise */
    bool builtin;
    bool replaces; /* a material that takes another's place */
    size_t next;   /* the next of the same bucket, or ES_NO_NAME */
} es_named;

typedef struct es_names {
    es_named *named;
    size_t n, capacity;
    size_t *bucket; /* [n_buckets], the newest entry of each */
    size_t n_buckets;
} es_names;

/* false when memory is out. */
bool es_names_add(es_names *names, es_named named);
/* The newest of a name; with `after` the next older one. NULL: there is none. The entry may be changed, but not its
 * space and name. */
es_named *es_names_find(const es_names *names, es_space space, const char *name, const es_named *after);
void es_names_clear(es_names *names);

/* The nearest known name of a space, or NULL. */
const char *es_names_nearest(const es_names *names, es_space space, const char *name);
/* What a thing of this space is called in messages: "material". */
const char *es_space_noun(es_space space);

#endif
