/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The usual line: all that it meets is apart from each other, so there is nothing to group. */
#include <string.h>

#include "geometry/hit.h"

/* A clear pass is within ES_EDGE_M of its panel's plane for no more than this either way. */
static const double REACH_M = ES_EDGE_M / ES_CLEAR_COSINE;

/* false if there is not enough room. */
static bool add_hits(es_passes *passes, const es_hits *hits)
{
    if (hits->n > ES_PASSES_MOST - passes->n) return false;
    for (size_t i = 0; i < hits->n; i++, passes->n++) {
        passes->at_m[passes->n] = es_hit_at_m(&hits->hit[i]);
        passes->piece[passes->n] = ES_HIT_PIECE + (uint32_t)i;
    }
    return true;
}

/* By insertion: they come almost in order, and are few. */
static void sort(es_passes *passes)
{
    for (size_t i = 1; i < passes->n; i++) {
        const double at_m = passes->at_m[i];
        const uint32_t piece = passes->piece[i];
        size_t k = i;
        for (; k > 0 && passes->at_m[k - 1] > at_m; k--) {
            passes->at_m[k] = passes->at_m[k - 1];
            passes->piece[k] = passes->piece[k - 1];
        }
        passes->at_m[k] = at_m;
        passes->piece[k] = piece;
    }
}

/* One panel met where two cells of the index touch. */
static bool is_repeat(const es_geometry *g, const es_passes *passes, size_t i)
{
    const uint32_t a = passes->piece[i - 1], b = passes->piece[i];
    return passes->at_m[i - 1] == passes->at_m[i] && (a | b) < ES_HIT_PIECE &&
           g->grid.entry[a] / 2 == g->grid.entry[b] / 2;
}

static bool stand_apart(const es_geometry *g, const es_passes *passes, const es_hits *hits)
{
    double end_m = -HUGE_VAL;
    for (size_t i = 0; i < passes->n; i++) {
        const uint32_t piece = passes->piece[i];
        const es_hit *const hit = piece < ES_HIT_PIECE ? NULL : &hits->hit[piece - ES_HIT_PIECE];
        const double from_m = hit ? hit->from_m : passes->at_m[i] - REACH_M;
        if (from_m <= end_m + ES_SPOT_M && !is_repeat(g, passes, i)) return false;
        end_m = hit ? hit->to_m : passes->at_m[i] + REACH_M;
    }
    return true;
}

/* What a device is fixed to does not stand in its way. */
static void drop_repeats_and_ends(const es_geometry *g, es_passes *passes, const es_hits *hits)
{
    size_t kept = 0;
    for (size_t i = 0; i < passes->n; i++) {
        const uint32_t piece = passes->piece[i];
        if (i > 0 && is_repeat(g, passes, i)) continue;
        if (piece >= ES_HIT_PIECE && hits->hit[piece - ES_HIT_PIECE].holds_end) continue;
        passes->at_m[kept] = passes->at_m[i];
        passes->piece[kept++] = piece;
    }
    passes->n = kept;
}

/* In order, and so far apart that nothing else needs to be asked? */
static bool stand_far_apart(const es_passes *passes)
{
    static const double FAR_M = 2 * (ES_EDGE_M / ES_CLEAR_COSINE + ES_SPOT_M);
    bool near = false;
    for (size_t i = 1; i < passes->n; i++) near |= passes->at_m[i] - passes->at_m[i - 1] < FAR_M;
    return !near;
}

bool es_passes_apart(const es_geometry *g, es_passes *passes, const es_hits *hits)
{
    if (!add_hits(passes, hits)) return false;
    sort(passes);
    if (hits->n == 0 && stand_far_apart(passes)) return true;
    if (!stand_apart(g, passes, hits)) return false;
    drop_repeats_and_ends(g, passes, hits);
    return true;
}

/* Walls mostly stand in few directions: the angles found last, by what they were found from. */
enum { REMEMBERED = 8 };
typedef struct memory {
    double key[REMEMBERED], angle_rad[REMEMBERED];
} memory;

static double recall(memory *last, double cosine, double sine)
{
    const double key = cosine < sine ? cosine : -sine;
    uint64_t bits;
    memcpy(&bits, &key, sizeof bits);
    const size_t slot = (bits ^ bits >> 32) % REMEMBERED;
    if (last->key[slot] != key) {
        last->key[slot] = key;
        last->angle_rad[slot] = es_incidence_rad(cosine, sine);
    }
    return last->angle_rad[slot];
}

static earshot_crossing crossing_of_pass(const es_face *face, const es_line *line, memory *last)
{
    const double off_a_m = face->ux * line->dy - face->uy * line->dx;
    const double along_a_m = face->ux * line->dx + face->uy * line->dy;
    const double sine = sqrt(along_a_m * along_a_m + line->dz * line->dz);
    return (earshot_crossing){.incidence_rad = recall(last, fabs(off_a_m), sine), .element = face->element};
}

void es_passes_write(const es_geometry *g, const es_line *line, const es_passes *passes, const es_hits *hits,
                     bool swapped, earshot_crossing *crossing, size_t limit)
{
    memory last;
    for (int slot = 0; slot < REMEMBERED; slot++) last.key[slot] = 2;
    const size_t n = passes->n;
    for (size_t i = 0; i < n && i < limit; i++) {
        const size_t k = swapped ? n - 1 - i : i;
        const uint32_t piece = passes->piece[k];
        crossing[i] = piece < ES_HIT_PIECE ? crossing_of_pass(&g->sketch.face[piece], line, &last)
                                           : es_crossing_of_hit(&hits->hit[piece - ES_HIT_PIECE]);
        crossing[i].distance_m = swapped ? line->length_m - passes->at_m[k] : passes->at_m[k];
        crossing[i].group = i;
    }
}
