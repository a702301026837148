/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which panels a line meets: the sketch tells the few that it may, and most of those it passes through so clearly that
 * one division tells where. This is code, compiled by panel_search.c for any processor and by panel_search_avx2.c for
 * those that take eight floats at once; both answer the same to the last bit. */
#ifndef ES_PANEL_SEARCH_H
#define ES_PANEL_SEARCH_H

#include <float.h>
#include <math.h>
#include <string.h>

#ifdef __AVX2__
#include <immintrin.h>
#endif

#include "geometry/hit.h"

/* Each number and each step of look() is rounded by at most half of FLT_EPSILON of the largest one there, ten times in
 * all; three times as much for good measure. */
static const double ROUNDING = 16 * FLT_EPSILON;

/* A line as look() wants it, with slack for all tolerances and roundings. */
typedef struct ruler {
    float dx, dy, off, slack; /* a place is x * dy - (y * dx - off) away from it, times its length */
    float middle, reach;      /* of it, along the axis that it follows most */
    unsigned axis;            /* which is that: 0 for x */
} ruler;

static inline ruler ruler_along(const es_sketch *sketch, const es_line *line)
{
    const earshot_vec3 *const a = &line->a, *const b = &line->b;
    const double x_m = a->x_m - sketch->x_m, y_m = a->y_m - sketch->y_m, dx_m = b->x_m - a->x_m, dy_m = b->y_m - a->y_m;
    const double middle_m[] = {x_m + dx_m / 2, y_m + dy_m / 2}, wide_m = fabs(dx_m), deep_m = fabs(dy_m);
    const double slack_m = 2 * ES_SPOT_M + ROUNDING * (sketch->far_m + fabs(x_m) + fabs(y_m) + wide_m + deep_m);
    const unsigned axis = deep_m > wide_m;
    return (ruler){
        .dx = (float)dx_m,
        .dy = (float)dy_m,
        .off = (float)(dx_m * y_m - dy_m * x_m),
        .slack = (float)((wide_m + deep_m) * slack_m),
        .middle = (float)middle_m[axis],
        .reach = (float)(es_greater(wide_m, deep_m) / 2 + slack_m),
        .axis = axis,
    };
}

/* As many floats as the processor takes at once. */
#ifdef __AVX2__
enum { LANES = 8 };
#else
enum { LANES = 4 };
#endif
typedef float lanes __attribute__((vector_size(LANES * sizeof(float))));
typedef int32_t answers __attribute__((vector_size(LANES * sizeof(int32_t)))); /* -1 for yes */

static inline lanes load(const float *value)
{
    lanes loaded;
    memcpy(&loaded, value, sizeof loaded);
    return loaded;
}

static inline lanes without_sign(lanes value)
{
    return (lanes)((answers)value & INT32_MAX);
}

static inline lanes each(float value)
{
    return value - (lanes){0};
}

/* a * b - c. Whether the product is rounded first makes no difference: there is slack for that. */
static inline lanes times_minus(lanes a, lanes b, lanes c)
{
#ifdef __FMA__
    return (lanes)_mm256_fmsub_ps((__m256)a, (__m256)b, (__m256)c);
#else
    return a * b - c;
#endif
}

/* Bit k for answer k. */
static inline uint32_t bits_of(answers yes)
{
#ifdef __AVX2__
    return (uint32_t)_mm256_movemask_ps((__m256)yes);
#else
    const answers bit = yes & (answers){1, 2, 4, 8};
    return (uint32_t)(bit[0] | bit[1] | bit[2] | bit[3]);
#endif
}

/* Bit k is set unless piece k of the block has both its ends on one side of the line, or lies before the line's start
 * or behind its end. */
static inline uint32_t look(const es_block *block, const ruler *r)
{
    const lanes dx = each(r->dx), dy = each(r->dy), line_off = each(r->off);
    uint32_t met = 0;
    for (int k = 0; k < ES_BLOCK; k += LANES) {
        const lanes x = load(block->middle_m[0] + k), y = load(block->middle_m[1] + k);
        const lanes half_x = load(block->half_m[0] + k), half_y = load(block->half_m[1] + k);
        const lanes at = load(block->middle_m[r->axis] + k), reach = load(block->half_m[r->axis] + k);
        const lanes off = times_minus(dy, x, times_minus(dx, y, line_off)), half = times_minus(dy, half_x, dx * half_y);
        const answers touches = without_sign(off) - without_sign(half) <= r->slack;
        const answers beside = without_sign(r->middle - at) - without_sign(reach) <= r->reach;
        met |= bits_of(touches & beside) << k;
    }
    return met;
}

static inline uint64_t look_at_four(const es_block *block, const ruler *r)
{
    uint64_t met = 0;
    for (unsigned k = 0; k < 4; k++) met |= (uint64_t)look(&block[k], r) << k * ES_BLOCK;
    return met;
}

/* The pieces in the cells of a row that a line touches. */
typedef struct run {
    size_t first, end;
} run;

enum { AT_ONCE = 64 };

/* Of AT_ONCE pieces, those whose panels may be met: bit k for piece first + k. */
typedef struct found {
    uint64_t met;
    size_t first;
} found;

/* Look at the pieces from `first` on, where a block begins, as far as they are in the run. By itself, so that all that
 * look() needs of the ruler stays in registers. */
__attribute__((noinline)) static found look_along(const es_sketch *sketch, const ruler *r, size_t first, const run *in)
{
    const es_block *const block = sketch->block + first / ES_BLOCK;
    const size_t left = in->end - first;
    uint64_t met = look_at_four(block, r);
    if (left > AT_ONCE / 2) met |= look_at_four(block + 4, r) << AT_ONCE / 2;
    if (left < AT_ONCE) met &= UINT64_MAX >> (AT_ONCE - left);
    if (first < in->first) met &= UINT64_MAX << (in->first - first);
    return (found){met, first};
}

/* Most lines pass through a panel far from its edges and their own ends, and not at a small angle, or far from it: then
 * one division tells, and no tolerance counts. false if that is not so for each. */
static inline bool add_passes(const es_face *face, const es_line *line, const found *f, es_passes *passes)
{
    const es_line l = *line;
    size_t n = passes->n;
    bool unclear = false;
    for (uint64_t met = f->met; met; met &= met - 1) {
        const size_t piece = f->first + (unsigned)__builtin_ctzll(met);
        const es_face *const p = &face[piece];
        const double rx = l.a.x_m - p->ax_m, ry = l.a.y_m - p->ay_m;
        const double off = p->ux * ry - p->uy * rx, off_a_m = p->ux * l.dy - p->uy * l.dx;
        const double cosine = fabs(off_a_m), metres_a_m = 1 / off_a_m, at_m = -off * metres_a_m;
        const double along = (rx * l.dy - ry * l.dx) * metres_a_m, z = l.a.z_m + at_m * l.dz;
        /* How far inside the nearest edge, and how far off the plane the nearest end. */
        const double inside = es_lesser(es_lesser(along, p->length_m - along), es_lesser(z - p->z0_m, p->z1_m - z));
        const double clear_m = es_lesser(inside, cosine * es_lesser(at_m, l.length_m - at_m));
        const bool steep = cosine >= ES_CLEAR_COSINE;
        /* Written down in any case and counted or not: no processor could guess which. */
        passes->at_m[n] = at_m;
        passes->piece[n] = (uint32_t)piece;
        n += steep & (clear_m > ES_CLEAR_M);
        unclear |= !(steep & (fabs(clear_m) > ES_CLEAR_M));
    }
    passes->n = n;
    return !unclear;
}

static inline bool add_found(const es_geometry *g, const es_line *line, const found *f, size_t n, es_passes *passes,
                             es_hits *hits)
{
    for (size_t i = 0; i < n; i++) {
        if (passes->n > ES_PASSES_MOST - AT_ONCE && !es_passes_to_hits(g, line, passes, hits)) return false;
        const size_t before = passes->n;
        if (add_passes(g->sketch.face, line, &f[i], passes)) continue;
        if (!es_look_closely(g, line, f[i].met, f[i].first, passes, before, hits)) return false;
    }
    return true;
}

/* All pieces are in one cell. */
static inline bool search_list(const es_geometry *g, const es_line *line, es_passes *passes, es_hits *hits)
{
    const ruler r = ruler_along(&g->sketch, line);
    const run all = {0, g->grid.n_entries};
    for (size_t i = 0; i < all.end; i += AT_ONCE) {
        const found f = look_along(&g->sketch, &r, i, &all);
        if (!add_found(g, line, &f, 1, passes, hits)) return false;
    }
    return true;
}

static inline bool next_run(const es_grid *grid, es_grid_walk *walk, run *next)
{
    if (!es_grid_walk_row(walk)) return false;
    const uint32_t *const start = grid->start + (size_t)walk->row * grid->columns;
    *next = (run){start[walk->first], start[walk->last + 1]};
    return true;
}

/* Ask for memory that will be looked at soon, as much as is usual. */
static inline void fetch_run(const es_sketch *s, const run *next)
{
    for (unsigned k = 0; k < 4; k++) __builtin_prefetch(&s->block[next->first / ES_BLOCK + k]);
}

static inline void fetch_faces(const es_face *face, const found *f)
{
    uint64_t met = f->met;
    for (unsigned k = 0; k < 4; k++, met &= met - 1)
        __builtin_prefetch(&face[f->first + (unsigned)__builtin_ctzll(met ? met : 1)]);
}

/* Each run is fetched while the one before is looked at, and the panels found are put off until there are some, so that
 * they can be fetched meanwhile. */
static inline bool search_rows(const es_geometry *g, const es_line *line, es_passes *passes, es_hits *hits)
{
    enum { PUT_OFF = 16 };
    const ruler r = ruler_along(&g->sketch, line);
    const es_footprint ground_plan = {line->a.x_m, line->a.y_m, line->b.x_m, line->b.y_m, false};
    es_grid_walk walk = es_grid_walk_start(&g->grid, &ground_plan);
    found f[PUT_OFF];
    size_t n = 0;
    run next;
    for (bool more = next_run(&g->grid, &walk, &next); more;) {
        const run now = next;
        more = next_run(&g->grid, &walk, &next);
        fetch_run(&g->sketch, &next);
        for (size_t i = now.first / ES_BLOCK * ES_BLOCK; i < now.end; i += AT_ONCE) {
            f[n] = look_along(&g->sketch, &r, i, &now);
            fetch_faces(g->sketch.face, &f[n]);
            if (++n < PUT_OFF) continue;
            if (!add_found(g, line, f, n, passes, hits)) return false;
            n = 0;
        }
    }
    return add_found(g, line, f, n, passes, hits);
}

static bool search(const es_geometry *g, const es_line *line, es_passes *passes, es_hits *hits)
{
    if (g->grid.rows == 1 && g->grid.columns == 1) return search_list(g, line, passes, hits);
    return search_rows(g, line, passes, hits);
}

#endif
