/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/obstacles.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "earshot/geometry.h"

enum { FIRST_GUESS = 64 };

/* All crossings in malloc'ed memory: count, and ask again where the first guess was too small. */
static earshot_status all_crossings(const earshot_site *site, earshot_vec3 a, earshot_vec3 b,
                                    earshot_crossing **crossing, size_t *n)
{
    size_t limit = FIRST_GUESS;
    for (;;) {
        *crossing = malloc(limit * sizeof **crossing);
        if (!*crossing) return EARSHOT_MEMORY;
        const earshot_status status = earshot_crossings(site, a, b, *crossing, limit, n);
        if (status == EARSHOT_OK && *n <= limit) return EARSHOT_OK;
        free(*crossing);
        *crossing = NULL;
        if (status != EARSHOT_OK) return status;
        limit = *n;
    }
}

/* Keeps the costliest of each group; out has room for n. */
static size_t keep_strongest(const earshot_site *site, const earshot_crossing *crossing, size_t n, double frequency_hz,
                             es_obstacle *out)
{
    size_t kept = 0, group = 0;
    for (size_t i = 0; i < n; i++) {
        const size_t material = earshot_site_element(site, crossing[i].element).material;
        const double loss_db = earshot_material_loss_db(site, material, frequency_hz, NULL);
        const es_obstacle o = {crossing[i].element, crossing[i].distance_m, isnan(loss_db) ? 0.0 : loss_db};
        if (kept == 0 || crossing[i].group != group) {
            out[kept++] = o;
            group = crossing[i].group;
        } else if (o.loss_db > out[kept - 1].loss_db) {
            out[kept - 1] = o;
        }
    }
    return kept;
}

earshot_status es_obstacles_find(const earshot_site *site, earshot_vec3 a, earshot_vec3 b, double frequency_hz,
                                 es_obstacles *obstacles)
{
    earshot_crossing *crossing;
    size_t n;
    *obstacles = (es_obstacles){0};
    const earshot_status status = all_crossings(site, a, b, &crossing, &n);
    if (status != EARSHOT_OK) return status;
    es_obstacle *item = malloc((n ? n : 1) * sizeof *item);
    if (item) {
        obstacles->item = item;
        obstacles->n = keep_strongest(site, crossing, n, frequency_hz, item);
    }
    free(crossing);
    for (size_t i = 0; i < obstacles->n; i++) {
        obstacles->n_kind[earshot_site_element(site, item[i].element).kind]++;
        if (item[i].loss_db > item[obstacles->strongest].loss_db) obstacles->strongest = i;
    }
    return item ? EARSHOT_OK : EARSHOT_MEMORY;
}

void es_obstacles_clear(es_obstacles *obstacles)
{
    free(obstacles->item);
    *obstacles = (es_obstacles){0};
}

const char *es_element_kind_word(earshot_element_kind kind)
{
    switch (kind) {
    case EARSHOT_ELEMENT_WALL: return "wall";
    case EARSHOT_ELEMENT_DOOR: return "door";
    case EARSHOT_ELEMENT_WINDOW: return "window";
    case EARSHOT_ELEMENT_SLAB: return "slab";
    case EARSHOT_ELEMENT_BLOCK: return "block";
    }
    return "obstacle";
}

void es_obstacles_count(const es_obstacles *obstacles, earshot_text *text)
{
    const char *between = "";
    for (int kind = EARSHOT_ELEMENT_WALL; kind <= EARSHOT_ELEMENT_BLOCK; kind++) {
        const size_t n = obstacles->n_kind[kind];
        if (n == 0) continue;
        es_text_format(text, "%s%zu %s%s", between, n, es_element_kind_word((earshot_element_kind)kind),
                       n == 1 ? "" : "s");
        between = ", ";
    }
}

const char *es_material_words(const earshot_site *site, size_t material)
{
    const earshot_material *m = &earshot_site_plan(site)->material[material];
    return m->label ? m->label : m->name;
}

const char *es_element_label(const earshot_site *site, size_t element)
{
    const earshot_plan *plan = earshot_site_plan(site);
    const earshot_element e = earshot_site_element(site, element);
    switch (e.kind) {
    case EARSHOT_ELEMENT_WALL: return plan->wall[e.statement].label;
    case EARSHOT_ELEMENT_DOOR:
    case EARSHOT_ELEMENT_WINDOW: return plan->opening[e.statement].label;
    case EARSHOT_ELEMENT_SLAB: return plan->slab[e.statement].label;
    case EARSHOT_ELEMENT_BLOCK: return plan->block[e.statement].label;
    }
    return NULL;
}

/* "Brick wall" stands as "brick wall" inside a sentence, but "PVC sheet" and "uPVC" stay as they are. */
static void add_within_sentence(const char *label, earshot_text *text)
{
    const bool word = isupper((unsigned char)label[0]) && islower((unsigned char)label[1]);
    if (word) es_text_add_char(text, (char)tolower((unsigned char)label[0]));
    es_text_add(text, word ? label + 1 : label);
}

void es_element_words(const earshot_site *site, size_t element, earshot_text *text)
{
    const earshot_element e = earshot_site_element(site, element);
    const char *label = es_element_label(site, element), *kind = es_element_kind_word(e.kind);
    const char *material = es_material_words(site, e.material);
    es_text_add(text, "the ");
    if (!label && strstr(material, kind)) {
        add_within_sentence(material, text);
        return;
    }
    es_text_add(text, kind);
    if (label) es_text_format(text, " \"%s\"", label);
    es_text_add(text, " (");
    add_within_sentence(material, text);
    es_text_add(text, ")");
}
