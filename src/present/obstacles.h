/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands in the way of a link, for tables and words. */
#ifndef ES_OBSTACLES_H
#define ES_OBSTACLES_H

#include "earshot/present.h"

/* What a path passes at one spot. Where it meets several things at once (a corner), the one that costs most. */
typedef struct es_obstacle {
    size_t element; /* of the site */
    double distance_m, loss_db;
} es_obstacle;

typedef struct es_obstacles {
    es_obstacle *item; /* [n] in the order from the first point */
    size_t n;
    size_t strongest; /* index of the largest loss; 0 when there is none */
    size_t n_kind[EARSHOT_ELEMENT_BLOCK + 1];
} es_obstacles;

/* EARSHOT_OK, EARSHOT_ARGUMENT or EARSHOT_MEMORY; free with es_obstacles_clear. */
earshot_status es_obstacles_find(const earshot_site *site, earshot_vec3 a, earshot_vec3 b, double frequency_hz,
                                 es_obstacles *obstacles);
void es_obstacles_clear(es_obstacles *obstacles);

/* "2 walls, 1 slab": how many of each kind. */
void es_obstacles_count(const es_obstacles *obstacles, earshot_text *text);

/* An element in words: 'the cavity wall with foil', 'the door "Up-and-over" (steel garage door)'. */
void es_element_words(const earshot_site *site, size_t element, earshot_text *text);
/* "wall", "door", "window", "slab" or "block". */
const char *es_element_kind_word(earshot_element_kind kind);
/* The label given in the plan to a wall, door, window, slab or block; NULL if none. */
const char *es_element_label(const earshot_site *site, size_t element);
/* The label of a material where it has one, else its name. */
const char *es_material_words(const earshot_site *site, size_t material);

#endif
