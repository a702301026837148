/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Upright edges: where walls end, meet or change, and the corners of solid conductors. */
#include <math.h>

#include "base/arena.h"
#include "base/units.h"
#include "propagation/rays_inner.h"

static const double MERGE_M = 0.02;
static const double SAME_ANGLE_RAD = 0.02;

static double distance_m(rays_point p, rays_point q)
{
    return hypot(p.x - q.x, p.y - q.y);
}

static bool add_edge(rays_scene *scene, rays_point at)
{
    void *items = scene->edge;
    if (!es_grow(&items, &scene->edge_room, scene->n_edges, sizeof *scene->edge)) return false;
    scene->edge = items;
    scene->edge[scene->n_edges++] =
        (rays_edge){.at = at, .first_arm = (uint32_t)scene->n_arms, .first_term = (uint32_t)scene->n_terms};
    return true;
}

static bool add_arm(rays_scene *scene, double x, double y, uint32_t wall)
{
    void *items = scene->arm;
    if (!es_grow(&items, &scene->arm_room, scene->n_arms, sizeof *scene->arm)) return false;
    scene->arm = items;
    scene->arm[scene->n_arms++] = (rays_arm){es_rays_turn(atan2(y, x)), {x, y}, wall};
    scene->edge[scene->n_edges - 1].n_arms++;
    return true;
}

static bool add_term(rays_scene *scene, uint32_t arm, uint32_t opposite)
{
    void *items = scene->term;
    if (!es_grow(&items, &scene->term_room, scene->n_terms, sizeof *scene->term)) return false;
    scene->term = items;
    scene->term[scene->n_terms++] = (rays_term){arm, opposite};
    scene->edge[scene->n_edges - 1].n_terms++;
    return true;
}

/* Arms of one wall at the edge added last: one if it ends there, two if it passes through. */
static bool add_arms_of(rays_scene *scene, uint32_t wall)
{
    const rays_point at = scene->edge[scene->n_edges - 1].at;
    const rays_wall *w = &scene->wall[wall];
    const rays_point u = w->along;
    const double along = rays_dot(rays_minus(at, w->a), u);
    if (along < -MERGE_M || along > w->length_m + MERGE_M) return true;
    if (fabs(rays_cross(u, rays_minus(at, w->a))) > MERGE_M) return true;
    if (distance_m(at, w->a) <= MERGE_M) return add_arm(scene, u.x, u.y, wall);
    if (distance_m(at, w->b) <= MERGE_M) return add_arm(scene, -u.x, -u.y, wall);
    return add_arm(scene, u.x, u.y, wall) && add_arm(scene, -u.x, -u.y, wall);
}

static bool same_stack(const rays_scene *scene, uint32_t wall, uint32_t other)
{
    const rays_wall *v = &scene->wall[wall], *w = &scene->wall[other];
    if (v->n_bands != w->n_bands) return false;
    for (uint32_t i = 0; i < v->n_bands; i++) {
        const rays_band *p = &scene->band[v->first_band + i], *q = &scene->band[w->first_band + i];
        if (p->z0 != q->z0 || p->z1 != q->z1 || p->table != q->table) return false;
    }
    return true;
}

static bool opposite(const rays_arm *arm, const rays_arm *other)
{
    return fabs(es_rays_turn(arm->angle_rad - other->angle_rad) - ES_PI) < SAME_ANGLE_RAD;
}

/* Nothing is diffracted where a wall merely goes on. */
static bool nothing_changes(const rays_scene *scene)
{
    const rays_edge *edge = &scene->edge[scene->n_edges - 1];
    const rays_arm *arm = &scene->arm[edge->first_arm];
    return edge->n_arms == 2 && opposite(&arm[0], &arm[1]) && same_stack(scene, arm[0].wall, arm[1].wall);
}

static void drop_edge(rays_scene *scene)
{
    const rays_edge *edge = &scene->edge[--scene->n_edges];
    scene->n_arms = edge->first_arm;
    scene->n_terms = edge->first_term;
}

static bool share_heights(const rays_scene *scene, uint32_t wall, uint32_t other)
{
    const rays_wall *v = &scene->wall[wall], *w = &scene->wall[other];
    for (uint32_t i = 0; i < v->n_bands; i++) {
        const rays_band *p = &scene->band[v->first_band + i];
        for (uint32_t j = 0; j < w->n_bands; j++) {
            const rays_band *q = &scene->band[w->first_band + j];
            if (p->z0 < q->z1 && q->z0 < p->z1) return true;
        }
    }
    return false;
}

/* The arm in line with it that stands beside it, not one of another storey. */
static uint32_t opposite_of(const rays_scene *scene, const rays_edge *edge, uint32_t m)
{
    const rays_arm *arm = &scene->arm[edge->first_arm];
    for (uint32_t q = 0; q < edge->n_arms; q++)
        if (opposite(&arm[m], &arm[q]) && share_heights(scene, arm[m].wall, arm[q].wall)) return q;
    return m;
}

/* How strongly a wall reflects at normal incidence, the strongest of its panels. */
static double strength(const rays_scene *scene, uint32_t wall)
{
    const rays_wall *w = &scene->wall[wall];
    double most = 0.0;
    for (uint32_t i = 0; i < w->n_bands; i++)
        most = fmax(most, cabs(es_rays_r(&scene->table[scene->band[w->first_band + i].table], 0, 1.0)));
    return most;
}

/* Of two arms in line the stronger is the half plane that stands out from the other, the weaker its background. */
static bool add_terms(rays_scene *scene)
{
    const rays_edge edge = scene->edge[scene->n_edges - 1];
    const rays_arm *arm = &scene->arm[edge.first_arm];
    for (uint32_t m = 0; m < edge.n_arms; m++) {
        const uint32_t other = opposite_of(scene, &edge, m);
        const bool paired = other != m && opposite_of(scene, &edge, other) == m;
        if (paired && other < m) continue; /* that pair is in */
        const bool turned = paired && strength(scene, arm[other].wall) > strength(scene, arm[m].wall);
        if (!add_term(scene, turned ? other : m, turned ? m : other)) return false;
    }
    return true;
}

static bool edge_near(const rays_scene *scene, rays_point p)
{
    for (size_t i = 0; i < scene->n_edges; i++)
        if (distance_m(scene->edge[i].at, p) <= MERGE_M) return true;
    return false;
}

static bool add_sheet_edge(rays_scene *scene, rays_point at, uint32_t n_sheets)
{
    if (edge_near(scene, at)) return true;
    if (!add_edge(scene, at)) return false;
    for (uint32_t wall = 0; wall < n_sheets; wall++)
        if (!add_arms_of(scene, wall)) return false;
    if (nothing_changes(scene)) {
        drop_edge(scene);
        return true;
    }
    return add_terms(scene);
}

/* Corner where face `first` ends and face `second` starts. The exterior runs counter-clockwise from the second's
 * direction to that back along the first. */
static bool add_corner(rays_scene *scene, uint32_t first, uint32_t second)
{
    const rays_wall *in = &scene->wall[first], *out = &scene->wall[second];
    const double exterior = es_rays_turn(atan2(-in->along.y, -in->along.x) - atan2(out->along.y, out->along.x));
    if (exterior <= ES_PI * (1.0 + 1e-6)) return true; /* an inner corner throws no shadow */
    if (!add_edge(scene, in->b)) return false;
    rays_edge *edge = &scene->edge[scene->n_edges - 1];
    edge->wedge = true;
    edge->wedge_n = exterior / ES_PI;
    edge->wedge_unit = (rays_point){cos(ES_PI / (2.0 * edge->wedge_n)), sin(ES_PI / (2.0 * edge->wedge_n))};
    return add_arm(scene, out->along.x, out->along.y, second) && add_arm(scene, -in->along.x, -in->along.y, first);
}

/* Faces of one block follow each other and close. */
static bool add_corners(rays_scene *scene)
{
    const uint32_t end = (uint32_t)(scene->n_sheets + scene->n_solids);
    uint32_t start = (uint32_t)scene->n_sheets;
    for (uint32_t i = start; i < end; i++) {
        const bool last = i + 1 == end || scene->band[scene->wall[i + 1].first_band].element !=
                                              scene->band[scene->wall[i].first_band].element;
        if (!add_corner(scene, i, last ? start : i + 1)) return false;
        if (last) start = i + 1;
    }
    return true;
}

/* The corner that shares a face with this one. */
static uint32_t corner_on(const rays_scene *scene, size_t edge, uint32_t wall)
{
    for (size_t i = 0; i < scene->n_edges; i++) {
        const rays_edge *e = &scene->edge[i];
        const rays_arm *arm = &scene->arm[e->first_arm];
        if (i != edge && e->wedge && (arm[0].wall == wall || arm[1].wall == wall)) return (uint32_t)i;
    }
    return RAYS_NONE;
}

static void link_corners(rays_scene *scene)
{
    for (size_t i = 0; i < scene->n_edges; i++) {
        rays_edge *edge = &scene->edge[i];
        if (!edge->wedge) continue;
        for (uint32_t f = 0; f < 2; f++) edge->neighbour[f] = corner_on(scene, i, scene->arm[edge->first_arm + f].wall);
    }
}

earshot_status es_rays_find_edges(rays_scene *scene)
{
    const uint32_t n_sheets = (uint32_t)scene->n_sheets;
    for (uint32_t i = 0; i < n_sheets; i++) {
        const rays_wall wall = scene->wall[i];
        if (!add_sheet_edge(scene, wall.a, n_sheets) || !add_sheet_edge(scene, wall.b, n_sheets)) return EARSHOT_MEMORY;
    }
    if (!add_corners(scene)) return EARSHOT_MEMORY;
    link_corners(scene);
    return EARSHOT_OK;
}
