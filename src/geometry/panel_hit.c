/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A line and an upright panel. */
#include <math.h>

#include "base/units.h"
#include "geometry/hit.h"

/* A line that only touches a panel is too short there to show whether it lies in its plane; below this sine it does. */
static const double IN_PLANE = 1e-6;
/* At this cosine and above a line is within ES_EDGE_M of the plane for less than CLEAR_M either way. */
static const double CLEAR_COSINE = 0.01, CLEAR_M = 2e-5;

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

typedef enum verdict { MEETS, MISSES, UNCLEAR } verdict;

/* Most lines pass through a panel far from its edges and their own ends, and not at a small angle, or far from it: then
 * one division tells, and no tolerance counts. */
static verdict look(const es_face *face, const es_line *line, const seen *s, es_hit *hit)
{
    const double cosine = fabs(s->off_a_m), end_off = s->off + line->length_m * s->off_a_m;
    if (fabs(s->off) <= CLEAR_M || fabs(end_off) <= CLEAR_M) return UNCLEAR;
    if ((s->off > 0) == (end_off > 0)) return MISSES;
    if (cosine < CLEAR_COSINE) return UNCLEAR;
    const double metres_a_m = 1 / s->off_a_m, at_m = -s->off * metres_a_m;
    const double along = s->along + at_m * s->along_a_m, z = s->z + at_m * s->z_a_m;
    /* How far inside the nearest edge. */
    const double inside =
        es_lesser(es_lesser(along, face->length_m - along), es_lesser(z - face->z0_m, face->z1_m - z));
    if (inside < -CLEAR_M) return MISSES;
    if (inside <= CLEAR_M) return UNCLEAR;
    const double reach_m = ES_EDGE_M * fabs(metres_a_m);
    hit->kind = ES_HIT_SPOT;
    hit->from_m = at_m - reach_m;
    hit->to_m = at_m + reach_m;
    hit->first_m = hit->last_m = at_m;
    hit->holds_end = false;
    return MEETS;
}

static bool look_closely(const es_face *face, const es_line *line, const seen *s, es_hit *hit)
{
    if (face->length_m <= ES_SPOT_M || face->z1_m - face->z0_m <= ES_SPOT_M) return false;
    hit->from_m = 0;
    hit->to_m = line->length_m;
    if (!find_place(face, s, hit)) return false;
    hit->holds_end = lies_on(face, s, 0) || lies_on(face, s, line->length_m);
    return true;
}

bool es_face_meet(const es_face *face, const es_line *line, es_hit *hit)
{
    const seen s = see(face, line);
    const verdict v = look(face, line, &s, hit);
    if (v == MISSES || (v == UNCLEAR && !look_closely(face, line, &s, hit))) return false;
    find_incidence(&s, hit);
    find_sides(face, line, hit);
    return true;
}
