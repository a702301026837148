/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A line and what has an outline on the ground plan: a sheet, a prism. */
#include <math.h>
#include <stdlib.h>

#include "geometry/hit.h"

/* A sheet holds its edges, and those of its holes; a prism does not hold its faces. */
typedef struct area {
    const earshot_point *outline;
    size_t n_outline;
    const earshot_point *const *hole;
    const size_t *n_hole;
    size_t n_holes;
    bool holds_edge;
} area;

static bool covers(const area *a, earshot_point p)
{
    const int where = es_polygon_locate(a->outline, a->n_outline, p, ES_EDGE_M);
    if (where < 0 || (where == 0 && !a->holds_edge)) return false;
    for (size_t i = 0; i < a->n_holes; i++)
        if (es_polygon_locate(a->hole[i], a->n_hole[i], p, ES_EDGE_M) > 0) return false;
    return true;
}

/* Places along a line, grown as needed. */
typedef struct cuts {
    double *at_m;
    size_t n, capacity;
} cuts;

static bool add_cut(cuts *c, double at_m)
{
    if (!es_grow((void **)&c->at_m, &c->capacity, c->n, sizeof *c->at_m)) return false;
    c->at_m[c->n++] = at_m;
    return true;
}

/* Every place where the line may cross the polygon's edge. Some more do no harm, a missing one would. */
static bool cut_polygon(const earshot_point *corner, size_t n, const es_line *line, cuts *c)
{
    for (size_t i = 0; i < n; i++) {
        const earshot_point p = corner[i], q = corner[i + 1 < n ? i + 1 : 0];
        const double px = p.x_m - line->a.x_m, py = p.y_m - line->a.y_m;
        const double qx = q.x_m - line->a.x_m, qy = q.y_m - line->a.y_m;
        const double off_p = line->ex * py - line->ey * px, off_q = line->ex * qy - line->ey * qx;
        const double p_m = (line->ex * px + line->ey * py) / line->level;
        const double q_m = (line->ex * qx + line->ey * qy) / line->level;
        if (fabs(off_p) <= ES_EDGE_M && !add_cut(c, p_m)) return false;
        if ((off_p > 0) == (off_q > 0)) continue;
        if (!add_cut(c, p_m + off_p / (off_p - off_q) * (q_m - p_m))) return false;
    }
    return true;
}

static int by_place(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Keep the cuts inside the range, in order, its ends among them, those at one spot once. */
static bool order_cuts(cuts *c, double from_m, double to_m)
{
    size_t kept = 0;
    for (size_t i = 0; i < c->n; i++)
        if (c->at_m[i] > from_m + ES_SPOT_M && c->at_m[i] < to_m - ES_SPOT_M) c->at_m[kept++] = c->at_m[i];
    c->n = kept;
    if (!add_cut(c, from_m) || !add_cut(c, to_m)) return false;
    qsort(c->at_m, c->n, sizeof *c->at_m, by_place);
    kept = 1;
    for (size_t i = 1; i < c->n; i++)
        if (c->at_m[i] > c->at_m[kept - 1] + ES_SPOT_M) c->at_m[kept++] = c->at_m[i];
    c->n = kept;
    return true;
}

/* From cuts to stretches inside the area: pairs of from and to, in place. */
static void pair_cuts(const area *a, const es_line *line, cuts *c)
{
    size_t n = 0;
    for (size_t i = 0; i + 1 < c->n; i++) {
        const double from_m = c->at_m[i], to_m = c->at_m[i + 1];
        if (!covers(a, es_line_point(line, from_m + (to_m - from_m) / 2))) continue;
        if (n && c->at_m[n - 1] == from_m) {
            c->at_m[n - 1] = to_m;
        } else {
            c->at_m[n++] = from_m;
            c->at_m[n++] = to_m;
        }
    }
    c->n = n;
}

/* The stretches of [from_m, to_m] inside the area. */
static bool find_stretches(const area *a, const es_line *line, double from_m, double to_m, cuts *c)
{
    bool ok = true;
    if (line->level > 0) {
        ok = cut_polygon(a->outline, a->n_outline, line, c);
        for (size_t i = 0; ok && i < a->n_holes; i++) ok = cut_polygon(a->hole[i], a->n_hole[i], line, c);
    }
    if (!ok || !order_cuts(c, from_m, to_m)) return false;
    pair_cuts(a, line, c);
    return true;
}

static bool add(es_hits *hits, const es_hit *hit)
{
    es_hit *const next = es_hits_next(hits);
    if (!next) return false;
    *next = *hit;
    hits->n++;
    return true;
}

static bool beside(const es_box *box, earshot_point p)
{
    return p.x_m < box->low.x_m - ES_SPOT_M || p.x_m > box->high.x_m + ES_SPOT_M || p.y_m < box->low.y_m - ES_SPOT_M ||
           p.y_m > box->high.y_m + ES_SPOT_M;
}

static bool sheet_spot(const area *a, const es_box *at, const es_line *line, es_hit *hit, es_hits *hits)
{
    hit->first_m = hit->last_m = hit->from_m + (hit->to_m - hit->from_m) / 2;
    const earshot_point p = es_line_point(line, hit->first_m);
    if (beside(at, p) || !covers(a, p)) return true;
    hit->kind = ES_HIT_SPOT;
    hit->cosine = fabs(line->dz);
    hit->sine = line->level;
    return add(hits, hit);
}

static bool sheet_stretches(const area *a, const es_line *line, es_hit *hit, es_hits *hits)
{
    cuts c = {0};
    bool ok = find_stretches(a, line, hit->from_m, hit->to_m, &c);
    hit->kind = ES_HIT_STRETCH;
    hit->cosine = 0;
    hit->sine = 1;
    for (size_t i = 0; ok && i < c.n; i += 2) {
        hit->from_m = hit->first_m = c.at_m[i];
        hit->to_m = hit->last_m = c.at_m[i + 1];
        hit->holds_end = hit->from_m <= ES_SPOT_M || hit->to_m >= line->length_m - ES_SPOT_M;
        if (hit->to_m - hit->from_m > 2 * ES_SPOT_M) ok = add(hits, hit);
    }
    free(c.at_m);
    return ok;
}

bool es_sheet_meet(const es_sheet *sheet, const es_box *at, uint32_t part, const es_line *line, es_hits *hits)
{
    const area a = {sheet->outline, sheet->n_outline, sheet->hole, sheet->n_hole, sheet->n_holes, true};
    double from_m = 0, to_m = line->length_m;
    const double off = line->a.z_m - sheet->z_m, end_off = off + line->length_m * line->dz;
    if (!es_line_clip(off, line->dz, -ES_EDGE_M, ES_EDGE_M, &from_m, &to_m)) return true;
    es_hit hit = {
        .from_m = from_m,
        .to_m = to_m,
        .element = sheet->element,
        .part = part,
        .holds_end = fabs(off) <= ES_SPOT_M || fabs(end_off) <= ES_SPOT_M,
        .left = true,
        .right = true,
    };
    /* A line within ES_EDGE_M of the plane for longer than a millimetre runs in it. */
    if (to_m - from_m > 1e-3) return sheet_stretches(&a, line, &hit, hits);
    return sheet_spot(&a, at, line, &hit, hits);
}

/* Cosine of the incidence on the face of the prism that a point of its surface lies on; where faces meet, on the one
 * met most squarely. Below 0 for a point not on the surface. */
static double face_cosine(const es_prism *prism, const es_line *line, double at_m)
{
    const earshot_point p = es_line_point(line, at_m);
    const double z = line->a.z_m + at_m * line->dz, near_m = 2 * ES_SPOT_M;
    double most = -1;
    if (fabs(z - prism->z0_m) <= near_m || fabs(z - prism->z1_m) <= near_m) most = fabs(line->dz);
    for (size_t i = 0; i < prism->n_outline; i++) {
        const earshot_point a = prism->outline[i], b = prism->outline[i + 1 < prism->n_outline ? i + 1 : 0];
        const double ux = b.x_m - a.x_m, uy = b.y_m - a.y_m, length_m = hypot(ux, uy);
        if (length_m == 0 || es_segment_distance_m(a, b, p, NULL) > near_m) continue;
        most = es_greater(most, fabs(ux * line->dy - uy * line->dx) / length_m);
    }
    return most;
}

static bool add_solid(const es_prism *prism, uint32_t part, const es_line *line, double from_m, double to_m,
                      es_hits *hits)
{
    const double middle_m = from_m + (to_m - from_m) / 2, z = line->a.z_m + middle_m * line->dz;
    if (z <= prism->z0_m + ES_EDGE_M || z >= prism->z1_m - ES_EDGE_M) return true;
    const double most = es_greater(face_cosine(prism, line, from_m), face_cosine(prism, line, to_m));
    const double cosine = most < 0 ? 1 : es_lesser(most, 1);
    const es_hit hit = {
        .from_m = from_m,
        .to_m = to_m,
        .first_m = from_m,
        .last_m = to_m,
        .cosine = cosine,
        .sine = sqrt((1 - cosine) * (1 + cosine)),
        .element = prism->element,
        .part = part,
        .kind = ES_HIT_SOLID,
    };
    return add(hits, &hit);
}

bool es_prism_meet(const es_prism *prism, uint32_t part, const es_line *line, es_hits *hits)
{
    const area a = {.outline = prism->outline, .n_outline = prism->n_outline};
    double from_m = 0, to_m = line->length_m;
    if (!es_line_clip(line->a.z_m, line->dz, prism->z0_m, prism->z1_m, &from_m, &to_m)) return true;
    cuts c = {0};
    bool ok = find_stretches(&a, line, from_m, to_m, &c);
    for (size_t i = 0; ok && i < c.n; i += 2) ok = add_solid(prism, part, line, c.at_m[i], c.at_m[i + 1], hits);
    free(c.at_m);
    return ok;
}
