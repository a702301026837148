/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A line and an upright panel. */
#include <math.h>

#include "base/units.h"
#include "geometry/hit.h"

/* A line that only touches a panel is too short there to show whether it lies in its plane; below this sine it does. */
static const double IN_PLANE = 1e-6;

/* The line in the panel's own axes: metres along it, off its plane, and above level 0, each a value at the line's
 * lower end and a slope. */
typedef struct seen {
    double along, along_a_m, off, off_a_m, z, z_a_m;
} seen;

static seen see(const es_face *face, const es_line *line)
{
    const double rx = line->a.x_m - face->ax_m, ry = line->a.y_m - face->ay_m;
    return (seen){
        .along = face->ux * rx + face->uy * ry,
        .along_a_m = face->ux * line->dx + face->uy * line->dy,
        .off = face->ux * ry - face->uy * rx,
        .off_a_m = face->ux * line->dy - face->uy * line->dx,
        .z = line->a.z_m,
        .z_a_m = line->dz,
    };
}

static bool lies_on(const es_face *face, const seen *s, double at_m)
{
    const double along = s->along + at_m * s->along_a_m, z = s->z + at_m * s->z_a_m;
    return fabs(s->off + at_m * s->off_a_m) <= ES_SPOT_M && along >= -ES_SPOT_M &&
           along <= face->length_m + ES_SPOT_M && z >= face->z0_m - ES_SPOT_M && z <= face->z1_m + ES_SPOT_M;
}

/* Where the line, `off0` off the plane at from and `off1` at to, is `off` off it. */
static double where_off(double off, double off0, double off1, double from_m, double to_m)
{
    const double at_m = from_m + (off - off0) / (off1 - off0) * (to_m - from_m);
    return es_lesser(es_greater(at_m, from_m), to_m);
}

/* The part of the line beside the panel. */
static bool beside(const es_face *face, const seen *s, double *from_m, double *to_m)
{
    return es_line_clip(s->along, s->along_a_m, -ES_EDGE_M, face->length_m + ES_EDGE_M, from_m, to_m) &&
           es_line_clip(s->z, s->z_a_m, face->z0_m - ES_EDGE_M, face->z1_m + ES_EDGE_M, from_m, to_m);
}

/* Narrow the places of a hit to where low <= value + slope * s <= high, unless that is nowhere: then the line goes
 * along an edge, a rounding outside. */
static void trim(double value, double slope, double low, double high, es_hit *hit)
{
    double first_m = hit->first_m, last_m = hit->last_m;
    if (!es_line_clip(value, slope, low, high, &first_m, &last_m)) return;
    hit->first_m = first_m;
    hit->last_m = last_m;
}

/* The line is in the panel's plane: where exactly does it enter and leave? */
static void find_ends(const es_face *face, const seen *s, es_hit *hit)
{
    hit->first_m = hit->from_m;
    hit->last_m = hit->to_m;
    trim(s->along, s->along_a_m, 0, face->length_m, hit);
    trim(s->z, s->z_a_m, face->z0_m, face->z1_m, hit);
}

/* Narrow the part of the line beside the panel to that within ES_EDGE_M of its plane. */
static bool find_spot(double off0, double off1, es_hit *hit)
{
    if (es_lesser(off0, off1) > ES_EDGE_M || es_greater(off0, off1) < -ES_EDGE_M) return false;
    const double sign = off1 > off0 ? 1 : -1, from_m = hit->from_m, to_m = hit->to_m;
    hit->from_m = where_off(-sign * ES_EDGE_M, off0, off1, from_m, to_m);
    hit->to_m = where_off(sign * ES_EDGE_M, off0, off1, from_m, to_m);
    hit->first_m = hit->last_m = where_off(0, off0, off1, from_m, to_m);
    return true;
}

static bool find_place(const es_face *face, const seen *s, es_hit *hit)
{
    if (!beside(face, s, &hit->from_m, &hit->to_m)) return false;
    const double off0 = s->off + hit->from_m * s->off_a_m, off1 = s->off + hit->to_m * s->off_a_m;
    const bool touches = fabs(off0) <= ES_EDGE_M && fabs(off1) <= ES_EDGE_M;
    const bool runs = touches && (hit->to_m - hit->from_m > 2 * ES_SPOT_M || fabs(s->off_a_m) <= IN_PLANE);
    hit->kind = runs ? ES_HIT_STRETCH : ES_HIT_SPOT;
    if (touches) find_ends(face, s, hit);
    if (touches && !runs) hit->first_m = hit->last_m = es_hit_at_m(hit);
    return touches || find_spot(off0, off1, hit);
}

/* Which sides of the line's ground plan the panel reaches to. */
static void find_sides(const es_face *face, const es_line *line, es_hit *hit)
{
    const double a = line->ex * (face->ay_m - line->a.y_m) - line->ey * (face->ax_m - line->a.x_m);
    const double b = a + (line->ex * face->uy - line->ey * face->ux) * face->length_m;
    hit->left = es_greater(a, b) > ES_SPOT_M;
    hit->right = es_lesser(a, b) < -ES_SPOT_M;
}

static void find_incidence(const seen *s, es_hit *hit)
{
    const bool runs = hit->kind == ES_HIT_STRETCH;
    hit->cosine = runs ? 0 : fabs(s->off_a_m);
    hit->sine = runs ? 1 : sqrt(s->along_a_m * s->along_a_m + s->z_a_m * s->z_a_m);
}

static bool meet(const es_face *face, const es_line *line, es_hit *hit)
{
    if (face->length_m <= ES_SPOT_M || face->z1_m - face->z0_m <= ES_SPOT_M) return false;
    const seen s = see(face, line);
    hit->from_m = 0;
    hit->to_m = line->length_m;
    if (!find_place(face, &s, hit)) return false;
    hit->holds_end = lies_on(face, &s, 0) || lies_on(face, &s, line->length_m);
    find_incidence(&s, hit);
    find_sides(face, line, hit);
    return true;
}

/* The same where the line passes through at at_m, far from any tolerance. */
static void pass(const es_face *face, const es_line *line, double at_m, es_hit *hit)
{
    const seen s = see(face, line);
    const double reach_m = ES_EDGE_M * fabs(1 / s.off_a_m);
    hit->kind = ES_HIT_SPOT;
    hit->from_m = at_m - reach_m;
    hit->to_m = at_m + reach_m;
    hit->first_m = hit->last_m = at_m;
    hit->holds_end = false;
    find_incidence(&s, hit);
    find_sides(face, line, hit);
}

static void add(const es_geometry *g, size_t piece, es_hit *hit, es_hits *hits)
{
    hit->part = g->grid.entry[piece] / 2;
    hit->element = g->sketch.face[piece].element;
    hits->n++;
}

/* A line along a wall finds it in each cell. No matter if this misses one, but it may not take long either. */
static bool is_known(const es_geometry *g, size_t piece, const es_hits *hits)
{
    for (size_t i = 0; i < hits->n && i < ES_HITS_AT_HAND; i++)
        if (hits->hit[i].part == g->grid.entry[piece] / 2) return true;
    return false;
}

bool es_passes_to_hits(const es_geometry *g, const es_line *line, es_passes *passes, es_hits *hits)
{
    es_line finished = *line;
    es_line_finish(&finished);
    for (size_t i = 0; i < passes->n; i++) {
        if (passes->piece[i] >= ES_HIT_PIECE) continue;
        es_hit *const hit = es_hits_next(hits);
        if (!hit) return false;
        pass(&g->sketch.face[passes->piece[i]], &finished, passes->at_m[i], hit);
        add(g, passes->piece[i], hit, hits);
    }
    passes->n = 0;
    return true;
}

bool es_look_closely(const es_geometry *g, const es_line *line, uint64_t bits, size_t first, const es_passes *passes,
                     size_t passed, es_hits *hits)
{
    es_line finished = *line;
    es_line_finish(&finished);
    for (size_t piece = first; bits; piece++, bits >>= 1) {
        if (!(bits & 1)) continue;
        if (passed < passes->n && passes->piece[passed] == piece) {
            passed++;
            continue;
        }
        if (is_known(g, piece, hits)) continue;
        es_hit *const hit = es_hits_next(hits);
        if (!hit) return false;
        if (meet(&g->sketch.face[piece], &finished, hit)) add(g, piece, hit, hits);
    }
    return true;
}
