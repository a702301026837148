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
    return fmin(fmax(at_m, from_m), to_m);
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
    if (fmin(off0, off1) > ES_EDGE_M || fmax(off0, off1) < -ES_EDGE_M) return false;
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
    hit->left = fmax(a, b) > ES_SPOT_M;
    hit->right = fmin(a, b) < -ES_SPOT_M;
}

bool es_face_meet(const es_face *face, const es_line *line, es_hit *hit)
{
    if (face->length_m <= ES_SPOT_M || face->z1_m - face->z0_m <= ES_SPOT_M) return false;
    const seen s = see(face, line);
    es_hit h = {.to_m = line->length_m};
    if (!find_place(face, &s, &h)) return false;
    h.incidence_rad = ES_PI / 2;
    if (h.kind == ES_HIT_SPOT) h.incidence_rad = atan2(hypot(s.along_a_m, s.z_a_m), fabs(s.off_a_m));
    h.holds_end = lies_on(face, &s, 0) || lies_on(face, &s, line->length_m);
    find_sides(face, line, &h);
    *hit = h;
    return true;
}
