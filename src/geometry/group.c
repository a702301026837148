/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which hits of a line are one obstacle. The rules and their reasons are in docs/decisions/001-crossings.md. */
#include <stdlib.h>
#include <string.h>

#include "geometry/hit.h"

void es_hits_free(es_hits *hits)
{
    if (hits->hit != hits->at_hand) free(hits->hit);
}

bool es_hits_grow(es_hits *hits)
{
    const bool moved = hits->hit != hits->at_hand;
    es_hit *more = realloc(moved ? hits->hit : NULL, 2 * hits->capacity * sizeof *more);
    if (!more) return false;
    if (!moved) memcpy(more, hits->at_hand, sizeof hits->at_hand);
    hits->hit = more;
    hits->capacity *= 2;
    return true;
}

static bool meets_before(const es_hit *a, const es_hit *b)
{
    if (a->from_m != b->from_m) return a->from_m < b->from_m;
    return a->part < b->part;
}

/* By group along the line, and within a group by what is met, so that the order in which the parts of the site are
 * numbered inside does not show. */
static bool stands_before(const es_hit *a, const es_hit *b)
{
    if (es_hit_at_m(a) != es_hit_at_m(b)) return es_hit_at_m(a) < es_hit_at_m(b);
    if (a->kind != b->kind) return a->kind < b->kind;
    if (a->element != b->element) return a->element < b->element;
    if (a->group != b->group) return a->group < b->group;
    return a->cosine > b->cosine;
}

enum { FEW_HITS = 40 };

/* Shell's sort with Ciura's gaps (2001), from memory: no memory taken, quick on the few hits of a line, which come
 * almost in order. */
static inline void sort(es_hit *hit, size_t n, bool (*is_before)(const es_hit *a, const es_hit *b))
{
    static const size_t gaps[] = {1750, 701, 301, 132, 57, 23, 10, 4, 1};
    for (size_t g = 0; g < sizeof gaps / sizeof *gaps; g++) {
        const size_t gap = gaps[g];
        if (gap > 1 && n <= FEW_HITS) continue;
        for (size_t i = gap; i < n; i++) {
            if (!is_before(&hit[i], &hit[i - gap])) continue;
            const es_hit moving = hit[i];
            size_t k = i;
            for (; k >= gap && is_before(&moving, &hit[k - gap]); k -= gap) hit[k] = hit[k - gap];
            hit[k] = moving;
        }
    }
}

/* A part listed in several rows of the index may be met once in each. */
static void drop_repeats(es_hits *hits)
{
    size_t kept = 0;
    for (size_t i = 0; i < hits->n; i++) {
        const es_hit *h = &hits->hit[i], *last = kept ? &hits->hit[kept - 1] : NULL;
        if (last && last->part == h->part && last->from_m == h->from_m) continue;
        if (kept < i) hits->hit[kept] = *h;
        kept++;
    }
    hits->n = kept;
}

/* A spot lies where the part met most squarely says, which knows it best. */
static bool knows_better(const es_hit *hit, const es_hit *whole)
{
    if (hit->cosine != whole->cosine) return hit->cosine > whole->cosine;
    return hit->first_m < whole->first_m;
}

static void widen(es_hit *whole, const es_hit *hit)
{
    if (hit->kind == ES_HIT_STRETCH) {
        whole->first_m = es_lesser(whole->first_m, hit->first_m);
        whole->last_m = es_greater(whole->last_m, hit->last_m);
    } else if (knows_better(hit, whole)) {
        whole->first_m = whole->last_m = hit->first_m;
        whole->cosine = hit->cosine;
    }
    whole->to_m = es_greater(whole->to_m, hit->to_m);
    whole->holds_end |= hit->holds_end;
    whole->left |= hit->left;
    whole->right |= hit->right;
}

/* What the hits of one cluster have in common. */
static void share(es_hit *hit, const es_hit *whole, uint32_t group)
{
    hit->from_m = whole->from_m;
    hit->to_m = whole->to_m;
    hit->first_m = whole->first_m;
    hit->last_m = whole->last_m;
    hit->holds_end = whole->holds_end;
    hit->left = whole->left;
    hit->right = whole->right;
    hit->group = group;
}

/* Make one group of all hits of a kind that follow each other without a gap. Returns how many groups there are. */
static uint32_t merge(es_hits *hits, es_hit_kind kind, uint32_t group)
{
    es_hit *const hit = hits->hit;
    for (size_t i = 0, next; i < hits->n; i = next) {
        next = i + 1;
        if (hit[i].kind != kind) continue;
        es_hit whole = hit[i];
        for (; next < hits->n; next++) {
            if (hit[next].kind != kind) continue;
            if (hit[next].from_m > whole.to_m + ES_SPOT_M) break;
            widen(&whole, &hit[next]);
        }
        for (size_t k = i; k < next; k++)
            if (hit[k].kind == kind) share(&hit[k], &whole, group);
        group++;
    }
    return group;
}

static void number_solids(es_hits *hits, uint32_t group)
{
    for (size_t i = 0; i < hits->n; i++)
        if (hits->hit[i].kind == ES_HIT_SOLID) hits->hit[i].group = group++;
}

/* What a device is fixed to does not stand in its way. Solids never hold an end in this sense. */
static void drop_ends(es_hits *hits)
{
    size_t kept = 0;
    for (size_t i = 0; i < hits->n; i++)
        if (!hits->hit[i].holds_end) hits->hit[kept++] = hits->hit[i];
    hits->n = kept;
}

/* Does a spot lie at an end of a stretch, that is, not between its first and last place? */
static bool at_an_end(const es_hit *spot, const es_hit *stretch)
{
    if (spot->from_m > stretch->to_m + ES_SPOT_M || spot->to_m < stretch->from_m - ES_SPOT_M) return false;
    return spot->from_m <= stretch->first_m + ES_SPOT_M || spot->to_m >= stretch->last_m - ES_SPOT_M;
}

/* A wall that begins where a stretch ends, at a corner, is of its group. One that goes by on both sides is not: the
 * line passes through it on either side of the stretch too. */
static void join_corners(es_hits *hits)
{
    for (size_t i = 0; i < hits->n; i++) {
        const es_hit *stretch = &hits->hit[i];
        if (stretch->kind != ES_HIT_STRETCH) continue;
        for (size_t k = 0; k < hits->n; k++) {
            es_hit *spot = &hits->hit[k];
            if (spot->kind != ES_HIT_SPOT || (spot->left && spot->right)) continue;
            if (!at_an_end(spot, stretch)) continue;
            spot->kind = ES_HIT_STRETCH;
            share(spot, stretch, stretch->group);
        }
    }
}

static void renumber(es_hits *hits)
{
    uint32_t group = 0;
    for (size_t i = 0; i < hits->n;) {
        const uint32_t old = hits->hit[i].group;
        for (; i < hits->n && hits->hit[i].group == old; i++) hits->hit[i].group = group;
        group++;
    }
}

/* The usual case: sorted hits of panels and sheets, each at a spot of its own, none at an end. */
static bool number_apart(es_hits *hits)
{
    for (size_t i = 0; i < hits->n; i++) {
        es_hit *const hit = &hits->hit[i];
        if (hit->kind != ES_HIT_SPOT || hit->holds_end) return false;
        if (i > 0 && hit->from_m <= hit[-1].to_m + ES_SPOT_M) return false;
        hit->group = (uint32_t)i;
    }
    return true;
}

void es_hits_group(es_hits *hits)
{
    sort(hits->hit, hits->n, meets_before);
    drop_repeats(hits);
    if (number_apart(hits)) return;
    const uint32_t n_stretches = merge(hits, ES_HIT_STRETCH, 0);
    number_solids(hits, merge(hits, ES_HIT_SPOT, n_stretches));
    drop_ends(hits);
    if (n_stretches) join_corners(hits);
    sort(hits->hit, hits->n, stands_before);
    renumber(hits);
}
