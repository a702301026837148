/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Past the rims of slabs and flat roofs: outlines and holes (stairwells). Like any edge of a penetrable sheet a rim
 * carries, at its shadow boundary, the jump between what passes beside the sheet and what passes through it, and at its
 * reflection boundary the reflection that ends there (rays_diffract.c): Keller's half plane with weights. */
#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "propagation/rays_over.h"
#include "propagation/slab.h"

/* A rim that rests on a wall is no free edge: where the wall goes on upwards or downwards it is handled as a wall. */
static const double ON_WALL_M = 0.3;

/* |1 - t| and |r| together, and the two antennas' gain, at most. */
static const double MOST_MISSING = 1.3, MOST_GAIN = 1.64;

static void add_rim(rays_scene *scene, const rays_floor *floor, earshot_point p, earshot_point q, double side)
{
    const double length_m = hypot(q.x_m - p.x_m, q.y_m - p.y_m);
    if (length_m < RAYS_NEAREST_EDGE_M) return;
    scene->rim[scene->n_rims++] = (rays_rim){.a = {p.x_m, p.y_m},
                                             .along = {(q.x_m - p.x_m) / length_m, (q.y_m - p.y_m) / length_m},
                                             .length_m = length_m,
                                             .side = side,
                                             .z_m = floor->z_m,
                                             .table = floor->table,
                                             .element = floor->element};
}

/* inside: 1 where the sheet lies within this loop, -1 where it lies without. */
static void add_loop(rays_scene *scene, const rays_floor *floor, const earshot_point *corner, size_t n, double inside)
{
    double area = 0.0;
    for (size_t i = 0; i < n; i++) {
        const earshot_point p = corner[i], q = corner[(i + 1) % n];
        area += (p.x_m - corner[0].x_m) * (q.y_m - corner[0].y_m) - (q.x_m - corner[0].x_m) * (p.y_m - corner[0].y_m);
    }
    const double left = copysign(1.0, area * inside);
    for (size_t i = 0; i < n; i++) add_rim(scene, floor, corner[i], corner[(i + 1) % n], left);
}

bool es_rays_find_rims(rays_scene *scene)
{
    size_t n = 0;
    for (size_t f = 0; f < scene->n_floors; f++) {
        n += scene->floor[f].n_outline;
        for (size_t h = 0; h < scene->floor[f].n_holes; h++) n += scene->floor[f].n_hole[h];
    }
    scene->rim = malloc((n + 1) * sizeof *scene->rim);
    if (!scene->rim) return false;
    for (size_t f = 0; f < scene->n_floors; f++) {
        const rays_floor *floor = &scene->floor[f];
        if (!floor->slab) continue;
        add_loop(scene, floor, floor->outline, floor->n_outline, 1.0);
        for (size_t h = 0; h < floor->n_holes; h++) add_loop(scene, floor, floor->hole[h], floor->n_hole[h], -1.0);
    }
    return true;
}

/* ---- one rim between two ends ---- */

/* An end as seen from the rim, across it: half of the angle from the sheet. */
typedef struct end {
    double across_m, half_cos, half_sin, along_m;
} end;

static end look(const rays_rim *rim, rays_point p, double z_m)
{
    const rays_point from = rays_minus(p, rim->a);
    const double beside = rim->side * rays_cross(rim->along, from), rise = z_m - rim->z_m;
    const double across_m = sqrt(beside * beside + rise * rise), cosine = beside / fmax(across_m, 1e-12);
    return (end){across_m, copysign(sqrt(fmax(0.0, 0.5 * (1.0 + cosine))), rise), sqrt(fmax(0.0, 0.5 * (1.0 - cosine))),
                 rays_dot(rim->along, from)};
}

/* A way past the rim by equal angles. */
typedef struct passing {
    const rays_rim *rim;
    rays_point at;
    double s1, s2, sine, l_m, spread;
    double shadow, mirrored; /* cosines of half the angles between way and boundaries */
} passing;

static bool find_passing(const rays_over *o, const rays_rim *rim, passing *w)
{
    const end in = look(rim, o->source, o->source_z), out = look(rim, o->point, o->point_z);
    const double across_m = in.across_m + out.across_m, along_m = out.along_m - in.along_m;
    if (in.across_m < RAYS_NEAREST_EDGE_M || out.across_m < RAYS_NEAREST_EDGE_M) return false;
    const double at = in.along_m + along_m * in.across_m / across_m;
    if (at < 0.0 || at > rim->length_m) return false;
    const double whole_m = sqrt(across_m * across_m + along_m * along_m), sine = across_m / whole_m;
    const double s1 = in.across_m / sine, s2 = out.across_m / sine;
    *w = (passing){.rim = rim,
                   .at = {rim->a.x + at * rim->along.x, rim->a.y + at * rim->along.y},
                   .s1 = s1,
                   .s2 = s2,
                   .sine = sine,
                   .l_m = s1 * s2 * sine * sine / whole_m,
                   .spread = 1.0 / (sine * sqrt(s1 * s2 * whole_m)),
                   .shadow = in.half_cos * out.half_cos + in.half_sin * out.half_sin,
                   .mirrored = in.half_cos * out.half_cos - in.half_sin * out.half_sin};
    return true;
}

/* |C0 F / c| is at most |C0 / c| and at most half of sqrt(L). */
static bool is_worth_it(const rays_over *o, const passing *w)
{
    const double keller = 0.5 / sqrt(2.0 * ES_PI * o->rays->scene->k), half_root = 0.5 * sqrt(w->l_m);
    const double most = fmin(keller / fmax(fabs(w->shadow), 1e-12), half_root) +
                        fmin(keller / fmax(fabs(w->mirrored), 1e-12), half_root);
    return most * MOST_MISSING * MOST_GAIN * w->spread >= o->work->strongest * o->rays->weakest;
}

static bool is_on_wall(const rays_scene *scene, rays_point p, double z_m)
{
    for (size_t i = 0; i < scene->n_sheets; i++) {
        const rays_wall *w = &scene->wall[i];
        const rays_point from = rays_minus(p, w->a);
        const double beyond = fabs(rays_dot(w->along, from) - 0.5 * w->length_m) - 0.5 * w->length_m;
        if (beyond > ON_WALL_M || fabs(rays_cross(w->along, from)) > ON_WALL_M) continue;
        if (es_rays_band_at(scene, (uint32_t)i, z_m - ON_WALL_M) ||
            es_rays_band_at(scene, (uint32_t)i, z_m + ON_WALL_M))
            return true;
    }
    return false;
}

/* Share of an upright field that is hard and soft at the rim, for a ray that travels so far level and up in length_m:
 * along . (d x e) and along . e over the sine. */
static void split(const passing *w, rays_point level, double rise, double length_m, double *hard, double *soft)
{
    const double level_m = fmax(rays_length(level), 1e-12);
    *hard = rays_cross(level, w->rim->along) / (level_m * w->sine);
    *soft = rise / length_m * rays_dot(level, w->rim->along) / (level_m * w->sine);
}

/* The upright component meets the sheet in TM, however the rim runs. What goes straight on keeps both shares; of what
 * is mirrored the soft share, E along the rim, turns round where H does not. */
static double complex past(const rays_over *o, const passing *w)
{
    const rays_scene *scene = o->rays->scene;
    const rays_table *table = &scene->table[w->rim->table];
    const rays_scale scale = {scene->k, w->l_m, RAYS_LEVEL};
    const double rise_in = w->rim->z_m - o->source_z, rise_out = o->point_z - w->rim->z_m;
    const double in = fabs(rise_in) / w->s1, out = fabs(rise_out) / w->s2;
    const double complex t = 0.5 * (es_rays_t(table, ES_TM, in) + es_rays_t(table, ES_TM, out));
    const double complex r = 0.5 * (es_rays_r(table, ES_TM, in) + es_rays_r(table, ES_TM, out));
    double hard[2], soft[2];
    split(w, rays_minus(w->at, o->source), rise_in, w->s1, &hard[0], &soft[0]);
    split(w, rays_minus(o->point, w->at), rise_out, w->s2, &hard[1], &soft[1]);
    const double both_hard = hard[0] * hard[1], both_soft = soft[0] * soft[1];
    return w->spread * ((both_hard + both_soft) * (1.0 - t) * es_rays_boundary(scene, w->shadow, scale) +
                        (both_hard - both_soft) * r * es_rays_boundary(scene, w->mirrored, scale));
}

void es_rays_past_rims(const rays_over *o)
{
    const rays_scene *scene = o->rays->scene;
    for (size_t i = 0; i < scene->n_rims; i++) {
        const rays_rim *rim = &scene->rim[i];
        passing w;
        if (!find_passing(o, rim, &w) || !is_worth_it(o, &w) || is_on_wall(scene, w.at, rim->z_m)) continue;
        const rays_turn turn = {w.at, rim->z_m, w.s1 + w.s2, RAYS_NONE, rim->element};
        es_rays_turn_at(o, &turn, past(o, &w));
    }
}
