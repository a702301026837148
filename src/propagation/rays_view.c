/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a ray sees of an edge: what its walls let through and reflect, and on which side of the ray they stand. */
#include <math.h>

#include "base/arena.h"
#include "base/units.h"
#include "propagation/rays_inner.h"

double es_rays_turn(double angle_rad)
{
    if (angle_rad < 0.0) return angle_rad + 2.0 * ES_PI;
    return angle_rad >= 2.0 * ES_PI ? angle_rad - 2.0 * ES_PI : angle_rad;
}

/* A ray at an edge: the direction to its other end. */
typedef struct ray {
    double angle_rad;
    rays_point along;
    rays_meet meet;
} ray;

static double complex arm_t(const rays_scene *scene, const rays_arm *arm, const ray *r, double sine)
{
    const rays_table *table = es_rays_wall_at(scene, arm->wall, r->meet.z_m);
    return table ? es_rays_wall_t(table, r->meet.component, fabs(sine), r->meet.climb) : 1.0;
}

static double complex arm_r(const rays_scene *scene, const rays_arm *arm, const ray *r, double sine)
{
    const rays_table *table = es_rays_wall_at(scene, arm->wall, r->meet.z_m);
    return table ? es_rays_wall_r(table, r->meet.component, fabs(sine), r->meet.climb) : 0.0;
}

/* Reflection in arm m of a ray that comes at an angle p from it, weakened by the other arms (at q from it) that lie on
 * that side: by those with q < p on its way in, at p - q, by those with q < pi - p on its way out, at pi - p - q. view:
 * what each arm lets through of the ray itself. */
static double complex reflection_in(const rays_scene *scene, const rays_edge *edge, uint32_t m, const ray *r,
                                    const rays_view *view)
{
    const rays_arm *arm = &scene->arm[edge->first_arm];
    const double sine = rays_cross(arm[m].along, r->along), cosine = rays_dot(arm[m].along, r->along);
    double complex weight = arm_r(scene, &arm[m], r, sine);
    for (uint32_t i = 0; i < edge->n_arms; i++) {
        const double arm_sine = rays_cross(arm[m].along, arm[i].along), q = copysign(1.0, sine) * arm_sine;
        const double arm_cosine = rays_dot(arm[m].along, arm[i].along);
        if (i == m || q < RAYS_COLLINEAR_SINE) continue; /* on the other side, or in line */
        if (arm_cosine > cosine) weight *= view[i].weight;
        if (arm_cosine > -cosine) weight *= arm_t(scene, &arm[i], r, q * cosine + fabs(sine) * arm_cosine);
    }
    return weight;
}

/* An arm's own view carries its transmission, a term's view its reflection. The angle from an arm to the ray has this
 * sine and cosine; its half lies in 0 to pi. */
static bool add_view(rays_views *views, double sine, double cosine, double complex weight)
{
    void *items = views->item;
    if (!es_grow(&items, &views->room, views->n, sizeof *views->item)) return false;
    views->item = items;
    const double half_cos = copysign(sqrt(fmax(0.0, 0.5 * (1.0 + cosine))), sine);
    const double half_sin = sqrt(fmax(0.0, 0.5 * (1.0 - cosine)));
    views->item[views->n++] = (rays_view){half_cos, half_sin, weight};
    return true;
}

static bool view_from(rays_views *views, const rays_arm *arm, const ray *r, double complex weight)
{
    return add_view(views, rays_cross(arm->along, r->along), rays_dot(arm->along, r->along), weight);
}

/* A corner's only view holds sine and cosine of phi / 2n instead. */
static bool view_wedge(const rays_scene *scene, const rays_edge *edge, double angle_rad, rays_views *views)
{
    if (!add_view(views, 0.0, 1.0, 0.0)) return false;
    const double part = es_rays_turn(angle_rad - scene->arm[edge->first_arm].angle_rad) / (2.0 * edge->wedge_n);
    views->item[views->n - 1] = (rays_view){cos(part), sin(part), 0.0};
    return true;
}

bool es_rays_is_in(rays_arms set, uint32_t arm)
{
    return arm < RAYS_SET_ARMS && (set >> arm & 1) != 0;
}

/* What is on one side of a ray's way past the edge. */
typedef struct passed_side {
    double complex passes; /* product of t */
    double complex behind; /* likewise of both arms of walls that go straight on, followed and not crossed */
    double complex uneven; /* what such a wall does when its two arms differ */
} passed_side;

/* A wall that goes straight on hides what is behind it, and shows in its place what is in front of it, as a mirror
 * does: a wall that ends at it meets its own image. */
static double complex seen_on(const passed_side *side, const passed_side *other)
{
    return side->uneven * (side->behind * side->passes + (1.0 - side->behind) * other->passes);
}

/* Of two arms in line the one that stands out, at a height where perhaps but one of them stands. */
static uint32_t outstanding(const rays_term *term, rays_arms standing)
{
    return es_rays_is_in(standing, term->arm) || !es_rays_is_in(standing, term->opposite) ? term->arm : term->opposite;
}

/* What the arms on the left of a ray's way past the edge let through, less what those on the right do. */
double complex es_rays_left_less_right(const rays_scene *scene, const rays_edge *edge, rays_arms standing,
                                       rays_arms left, const rays_view *view)
{
    passed_side side[2] = {{1.0, 1.0, 1.0}, {1.0, 1.0, 1.0}};
    for (uint32_t i = 0; i < edge->n_terms; i++) {
        const rays_term *term = &scene->term[edge->first_term + i];
        const uint32_t arm = outstanding(term, standing), other = arm == term->arm ? term->opposite : term->arm;
        const bool here = es_rays_is_in(left, arm), there = es_rays_is_in(left, other);
        const double complex t = view[arm].weight, opposite = view[other].weight;
        if (term->opposite == term->arm) {
            side[here].passes *= t;
        } else if (here == there) {
            side[here].behind *= t * opposite;
            side[here].uneven *= 1.0 + t - opposite;
        } else {
            side[here].passes *= t;
            side[there].passes *= opposite;
        }
    }
    return seen_on(&side[1], &side[0]) - seen_on(&side[0], &side[1]);
}

void es_rays_bound_jump(const rays_scene *scene, const rays_edge *edge, const rays_views *views, rays_side *side)
{
    const rays_view *view = &views->item[side->first_view];
    side->jump_bound = edge->n_arms > 4 ? 1.0 : 0.0;
    if (edge->wedge || edge->n_arms > 4) return;
    for (rays_arms left = 0; left < 1u << (edge->n_arms - 1); left++) { /* the last arm always on the right */
        const double jump = rays_most(es_rays_left_less_right(scene, edge, side->standing, left, view));
        side->jump_bound = fmax(side->jump_bound, jump);
    }
}

static double thickness_at(const rays_scene *scene, const rays_arm *arm, double z_m)
{
    const rays_table *table = es_rays_wall_at(scene, arm->wall, z_m);
    return table ? table->thickness_m : 0.0;
}

/* Find what stands at this height, and how much thicker the only wall that ends here is than what continues it. */
static void note_standing(const rays_scene *scene, const rays_edge *edge, double z_m, rays_side *side)
{
    const rays_arm *arm = &scene->arm[edge->first_arm];
    for (uint32_t i = 0; i < edge->n_arms && i < RAYS_SET_ARMS; i++)
        if (es_rays_wall_at(scene, arm[i].wall, z_m)) side->standing |= (rays_arms)1 << i;
    for (uint32_t i = 0; i < edge->n_terms; i++) {
        const rays_term *term = &scene->term[edge->first_term + i];
        if (!es_rays_is_in(side->standing, term->arm) && !es_rays_is_in(side->standing, term->opposite)) continue;
        const double ends_m = thickness_at(scene, &arm[term->arm], z_m);
        const double goes_on_m = term->opposite != term->arm ? thickness_at(scene, &arm[term->opposite], z_m) : 0.0;
        side->term = i;
        side->thick_arm = ends_m >= goes_on_m ? term->arm : term->opposite;
        side->thick_m = fabs(ends_m - goes_on_m);
        side->n_standing++;
    }
    if (!scene->thick_ends || side->n_standing != 1) side->thick_m = 0.0; /* or it ends at another wall */
}

bool es_rays_side_at(const rays_scene *scene, const rays_edge *edge, double angle_rad, rays_meet meet,
                     rays_views *views, rays_side *side)
{
    const ray r = {es_rays_turn(angle_rad), {cos(angle_rad), sin(angle_rad)}, meet};
    *side = (rays_side){.angle_rad = r.angle_rad,
                        .half_cos = cos(r.angle_rad / 2.0),
                        .half_sin = sin(r.angle_rad / 2.0),
                        .first_view = views->n};
    if (edge->wedge) return view_wedge(scene, edge, r.angle_rad, views);
    const rays_arm *arm = &scene->arm[edge->first_arm];
    for (uint32_t i = 0; i < edge->n_arms; i++)
        if (!view_from(views, &arm[i], &r, arm_t(scene, &arm[i], &r, rays_cross(arm[i].along, r.along)))) return false;
    note_standing(scene, edge, meet.z_m, side);
    for (uint32_t i = 0; i < edge->n_terms; i++) {
        const rays_term *term = &scene->term[edge->first_term + i];
        const rays_view *view = &views->item[side->first_view];
        double complex weight = reflection_in(scene, edge, term->arm, &r, view);
        if (term->opposite != term->arm) weight -= reflection_in(scene, edge, term->opposite, &r, view);
        if (!view_from(views, &arm[term->arm], &r, weight)) return false;
    }
    return true;
}

bool es_rays_edge_open(const rays_scene *scene, const rays_edge *edge, double angle_rad)
{
    if (!edge->wedge) return true;
    return es_rays_turn(es_rays_turn(angle_rad) - scene->arm[edge->first_arm].angle_rad) < edge->wedge_n * ES_PI;
}
