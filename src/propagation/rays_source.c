/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is the same for all points: waves from the source, reflected or not, that arrive at each edge, directly or by
 * way of one or two other edges. */
#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "base/units.h"
#include "propagation/rays_inner.h"

/* An edge this near the line of another edge's wall is joined to it by that wall. */
static const double JOINED_M = 0.02;

typedef struct preparing {
    struct es_rays *rays;
    const rays_scene *scene;
    rays_tracer tracer;
} preparing;

double complex es_rays_product(const rays_scene *scene, const rays_hit *hit, size_t n, double z_m)
{
    double complex product = 1.0;
    for (size_t i = 0; i < n; i++) {
        const rays_table *table = es_rays_wall_at(scene, hit[i].wall, z_m);
        if (table)
            product *= hit[i].reflects ? es_rays_r(table, 0, hit[i].cosine) : es_rays_t(table, 0, hit[i].cosine);
        else if (hit[i].reflects)
            return 0.0;
    }
    return product;
}

static double complex passage(const preparing *p, const rays_chain *chain)
{
    const rays_hit *hits = chain->n_hits ? &p->tracer.hits.item[chain->first_hit] : NULL;
    const double complex product = es_rays_product(p->scene, hits, chain->n_hits, p->rays->source_z);
    return product * cexp(-I * (p->scene->k * chain->length_m)) / sqrt(chain->length_m);
}

/* |product of R and T| of a passage. */
static double passed(double complex passage, const rays_chain *chain)
{
    return rays_size(passage) * sqrt(chain->length_m);
}

static bool add_wave(rays_waves *waves, rays_wave wave)
{
    void *items = waves->item;
    if (!es_grow(&items, &waves->room, waves->n, sizeof wave)) return false;
    waves->item = items;
    wave.size = cabs(wave.amplitude);
    wave.root_m = sqrt(wave.reach_m);
    waves->item[waves->n++] = wave;
    return true;
}

static rays_meet level_at(const struct es_rays *rays)
{
    return (rays_meet){rays->source_z, {1.0, 0.0}, RAYS_UPRIGHT};
}

/* The edge as seen at this angle; its views are kept. */
static bool bounded_side(preparing *p, const rays_edge *edge, double angle_rad, rays_side *side)
{
    rays_views *views = &p->rays->views;
    if (!es_rays_side_at(p->scene, edge, angle_rad, level_at(p->rays), views, side)) return false;
    es_rays_bound_jump(p->scene, edge, views, side);
    return true;
}

/* The wave of one image of the source at an edge. */
static bool add_single(preparing *p, size_t image, const rays_edge *edge)
{
    struct es_rays *rays = p->rays;
    rays_chain chain;
    if (!es_rays_follow(p->scene, &p->tracer, &rays->images, image, edge->at, NULL, edge, rays->options.product_floor,
                        &chain))
        return !p->tracer.no_memory;
    const double arrives = rays_angle(edge->at, chain.arrive);
    if (!es_rays_edge_open(p->scene, edge, arrives)) return true;
    const double complex amplitude = passage(p, &chain);
    rays_wave wave = {.amplitude = amplitude,
                      .product = chain.bound,
                      .passed = passed(amplitude, &chain),
                      .reach_m = chain.length_m,
                      .travelled_m = chain.length_m,
                      .image = (uint32_t)image,
                      .from_edge = RAYS_NONE,
                      .from_wave = RAYS_NONE,
                      .slope_face = RAYS_NONE,
                      .first_hit = chain.first_hit,
                      .n_hits = chain.n_hits};
    return bounded_side(p, edge, arrives, &wave.side) && add_wave(&rays->waves[0], wave);
}

/* An image in a wall whose line runs through the edge has no reflected ray to it. */
static bool mirrors_itself(const rays_scene *scene, const rays_image *image, const rays_edge *edge)
{
    if (image->order == 0) return false;
    const rays_wall *wall = &scene->wall[image->wall];
    return fabs(rays_cross(wall->along, rays_minus(edge->at, wall->a))) < JOINED_M;
}

static bool add_singles(preparing *p)
{
    struct es_rays *rays = p->rays;
    for (size_t e = 0; e < p->scene->n_edges; e++) {
        const rays_edge *edge = &p->scene->edge[e];
        rays->waves[0].first[e] = rays->waves[0].n;
        for (size_t i = 0; i < rays->images.n; i++) {
            const rays_image *image = &rays->images.item[i];
            if (image->order > rays->options.before) break;
            if (image->order && !es_rays_in_beam(image, edge->at)) continue;
            if (!mirrors_itself(p->scene, image, edge) && !add_single(p, i, edge)) return false;
        }
    }
    rays->waves[0].first[p->scene->n_edges] = rays->waves[0].n;
    return true;
}

/* ---- from edge to edge ---- */

/* Does a wall lead, at the source's height, from one edge towards the other? Then the field between them, being along a
 * sheet, vanishes. */
static bool joined(const preparing *p, const rays_edge *edge, rays_point other)
{
    const rays_scene *scene = p->scene;
    const rays_point way = rays_minus(other, edge->at);
    for (uint32_t i = 0; i < edge->n_arms; i++) {
        const rays_arm *arm = &scene->arm[edge->first_arm + i];
        if (rays_dot(arm->along, way) <= 0.0 || fabs(rays_cross(arm->along, way)) >= JOINED_M) continue;
        if (es_rays_wall_at(scene, arm->wall, p->rays->source_z)) return true;
    }
    return false;
}

/* The arm of `edge` that is the block face between two corners; RAYS_NONE if there is none. */
static uint32_t shared_face(const rays_edge *edge, size_t other)
{
    if (!edge->wedge) return RAYS_NONE;
    for (uint32_t f = 0; f < 2; f++)
        if (edge->neighbour[f] == other) return f;
    return RAYS_NONE;
}

typedef struct link {
    size_t from, to;
    rays_chain chain;
    double complex passage;
    double leaves, arrives; /* angles */
    uint32_t face;          /* of the edge `from`, RAYS_NONE: through the open */
} link;

/* D joined with the one before may be greater than D alone, and a thick end's than a sheet's. */
static const double JOINED_SLACK = 2.0;

/* Can any of the waves be strong enough at the other edge? Quick, and true more often than can_pass(). */
static bool promises(const preparing *p, unsigned edges, const link *l)
{
    const double between_m = rays_length(rays_minus(p->scene->edge[l->to].at, p->scene->edge[l->from].at));
    const double most = es_rays_outlook(p->rays, edges, l->from, l->leaves) / sqrt(between_m);
    return JOINED_SLACK * most >= p->rays->options.edge_floor;
}

/* Find the way from one edge to another for the waves that met so many; false if there is none, or none that is worth
 * it. */
static bool find_link(preparing *p, unsigned edges, size_t from, size_t to, link *found)
{
    const rays_scene *scene = p->scene;
    const rays_edge *e1 = &scene->edge[from], *e2 = &scene->edge[to];
    *found =
        (link){.from = from, .to = to, .leaves = rays_angle(e1->at, e2->at), .arrives = rays_angle(e2->at, e1->at)};
    found->face = shared_face(e1, to);
    if (found->face == RAYS_NONE) {
        if ((!e1->wedge && joined(p, e1, e2->at)) || (!e2->wedge && joined(p, e2, e1->at))) return false;
        if (!es_rays_edge_open(scene, e1, found->leaves) || !es_rays_edge_open(scene, e2, found->arrives)) return false;
        if (!promises(p, edges, found)) return false;
    }
    const rays_image itself = {.at = e1->at, .wall = RAYS_NONE, .parent = -1};
    const rays_images images = {.item = (rays_image *)&itself, .n = 1};
    if (!es_rays_follow(scene, &p->tracer, &images, 0, e2->at, e1, e2, p->rays->options.product_floor, &found->chain))
        return false;
    found->passage = passage(p, &found->chain);
    return true;
}

/* D at the edge that the link leaves; along a face its slope over 2jk s, which the second edge multiplies by its own.
 */
static double complex diffraction(const preparing *p, const link *l, const rays_wave *wave, const rays_side *out)
{
    const rays_scene *scene = p->scene;
    const rays_edge *edge = &scene->edge[l->from];
    const double s_m = l->chain.length_m;
    const rays_scale scale = {scene->k, rays_distance_m(wave->reach_m, s_m), RAYS_UPRIGHT};
    const rays_view *view = p->rays->views.item;
    if (wave->slope_face != RAYS_NONE) return es_rays_wedge_slope(scene, edge, wave->slope_face, out->angle_rad, scale);
    if (l->face == RAYS_NONE)
        return es_rays_diffract(scene, edge, &wave->side, &view[wave->side.first_view], out, &view[out->first_view],
                                scale);
    return es_rays_wedge_slope(scene, edge, l->face, wave->side.angle_rad, scale) / (2.0 * I * scene->k * s_m);
}

/* Keep what D at the edge is made of, so that it can be joined with that at the next. */
static bool keep_bends(preparing *p, const link *l, const rays_wave *wave, const rays_side *out, rays_wave *next)
{
    struct es_rays *rays = p->rays;
    const double s_m = l->chain.length_m;
    const rays_scale scale = {p->scene->k, rays_distance_m(wave->reach_m, s_m), RAYS_UPRIGHT};
    const rays_view *view = rays->views.item;
    rays_bend bend[RAYS_MOST_BENDS];
    if (l->face != RAYS_NONE) return true;
    next->n_bends = es_rays_bends(p->scene, &p->scene->edge[l->from], &wave->side, &view[wave->side.first_view], out,
                                  &view[out->first_view], scale, false, bend);
    next->first_bend = rays->bends.n;
    for (uint32_t i = 0; i < next->n_bends; i++) {
        void *items = rays->bends.item;
        if (!es_grow(&items, &rays->bends.room, rays->bends.n, sizeof *bend)) return false;
        rays->bends.item = items;
        rays->bends.item[rays->bends.n++] = bend[i];
    }
    next->before = wave->amplitude * l->passage;
    next->before_m = wave->reach_m;
    return true;
}

double complex es_rays_joined(const struct es_rays *rays, const rays_wave *wave, const rays_edge *edge,
                              const rays_side *out, const rays_view *out_views, double after_m)
{
    if (!wave->n_bends) return 0.0;
    const double between_m = wave->reach_m;
    const rays_scale scale = {rays->scene->k, rays_distance_m(between_m, after_m), RAYS_UPRIGHT};
    rays_bend bend[RAYS_MOST_BENDS];
    const uint32_t n = es_rays_bends(rays->scene, edge, &wave->side, &rays->views.item[wave->side.first_view], out,
                                     &out_views[out->first_view], scale, true, bend);
    const rays_reach reach = {wave->before_m, between_m, after_m};
    return wave->before * es_rays_pair(rays->scene, &rays->bends.item[wave->first_bend], wave->n_bends, bend, n, reach);
}

/* The wave after the edge that the link leaves, as it arrives at the next. */
static double complex passed_on(const preparing *p, const link *l, const rays_wave *wave, const rays_side *out)
{
    const double complex joined =
        es_rays_joined(p->rays, wave, &p->scene->edge[l->from], out, p->rays->views.item, l->chain.length_m);
    return l->passage * (joined != 0.0 ? joined : wave->amplitude * diffraction(p, l, wave, out));
}

/* Can it be strong enough at the next edge? */
static bool can_pass(const preparing *p, const link *l, const rays_wave *wave, const rays_side *out)
{
    if (wave->slope_face != RAYS_NONE || l->face != RAYS_NONE) return true;
    const rays_view *view = p->rays->views.item;
    const double bound =
        es_rays_diffract_bound(p->scene, &p->scene->edge[l->from], &wave->side, &view[wave->side.first_view], out,
                               &view[out->first_view], rays_least(wave->root_m, sqrt(l->chain.length_m)));
    return JOINED_SLACK * bound * wave->size * rays_size(l->passage) >= p->rays->options.edge_floor;
}

static bool add_next(preparing *p, unsigned edges, const link *l, size_t number, const rays_side *out,
                     const rays_side *in)
{
    struct es_rays *rays = p->rays;
    const rays_wave wave = rays->waves[edges - 1].item[number];
    const double product = wave.product * l->chain.bound;
    const bool round_a_block = wave.slope_face != RAYS_NONE && l->face != RAYS_NONE; /* by three of its corners */
    if (product < rays->options.product_floor || round_a_block || !can_pass(p, l, &wave, out)) return true;
    const double complex amplitude = passed_on(p, l, &wave, out);
    /* A slope carries a factor of 1/radian: its own D at the second edge decides, at the point. */
    if (l->face == RAYS_NONE && cabs(amplitude) < rays->options.edge_floor) return !p->tracer.no_memory;
    rays_wave next = {.side = *in,
                      .amplitude = amplitude,
                      .product = product,
                      .passed = wave.passed * passed(l->passage, &l->chain),
                      .reach_m = l->chain.length_m,
                      .travelled_m = wave.travelled_m + l->chain.length_m,
                      .from_edge = (uint32_t)l->from,
                      .from_wave = (uint32_t)number,
                      .slope_face = l->face == RAYS_NONE ? RAYS_NONE : 1 - l->face,
                      .first_hit = l->chain.first_hit,
                      .n_hits = l->chain.n_hits};
    return (edges > 1 || keep_bends(p, l, &wave, out, &next)) && add_wave(&rays->waves[edges], next);
}

/* Pass the waves that met so many edges, the last of them `from` included, on to another. */
static bool pass_on(preparing *p, unsigned edges, size_t from, size_t to)
{
    struct es_rays *rays = p->rays;
    const size_t *first = rays->waves[edges - 1].first;
    link l;
    if (first[from] == first[from + 1]) return true;
    if (!find_link(p, edges, from, to, &l)) return !p->tracer.no_memory;
    rays_side out, in;
    if (!bounded_side(p, &p->scene->edge[from], l.leaves, &out)) return false;
    if (!bounded_side(p, &p->scene->edge[to], l.arrives, &in)) return false;
    for (size_t w = first[from]; w < first[from + 1]; w++)
        if (!add_next(p, edges, &l, w, &out, &in)) return false;
    return true;
}

static bool pass_all_on(preparing *p, unsigned edges)
{
    rays_waves *waves = &p->rays->waves[edges];
    const size_t n = p->scene->n_edges;
    for (size_t to = 0; to < n; to++) {
        waves->first[to] = waves->n;
        for (size_t from = 0; from < n && edges < p->rays->options.edges; from++)
            if (from != to && !pass_on(p, edges, from, to)) return false;
    }
    waves->first[n] = waves->n;
    return true;
}

/* ---- images ---- */

static bool mirror_source(preparing *p)
{
    struct es_rays *rays = p->rays;
    const es_rays_options *o = &rays->options;
    const unsigned order = o->reflections > o->before ? o->reflections : o->before;
    return !es_rays_images_new(rays->scene, &p->tracer, rays->source, NULL, order, o->product_floor, &rays->images);
}

/* Comes last: what an edge sends says where its mirrors are. */
static bool mirror_edges(preparing *p)
{
    struct es_rays *rays = p->rays;
    const rays_scene *scene = rays->scene;
    const es_rays_options *o = &rays->options;
    rays->edge_image = calloc(scene->n_edges + 1, sizeof *rays->edge_image);
    if (!rays->edge_image) return false;
    for (size_t e = 0; e < scene->n_edges; e++) {
        const rays_edge *edge = &scene->edge[e];
        float most[RAYS_SECTORS], best = 0.0f;
        es_rays_outlook_of_all(rays, e, most);
        for (size_t i = 0; i < RAYS_SECTORS; i++) best = fmaxf(best, most[i]);
        /* Where little arrives at a point, fields down to this are asked for. */
        const double field_floor = o->field_floor * fmin(1.0, RAYS_DEEPEST_FLOOR / o->product_floor),
                     reach = (double)best / field_floor;
        const rays_sender sender = {edge, most, field_floor, reach * reach};
        if (es_rays_images_new(scene, &p->tracer, edge->at, &sender, o->after, o->product_floor, &rays->edge_image[e]))
            return false;
    }
    return true;
}

earshot_status es_rays_prepare(struct es_rays *rays)
{
    preparing p = {.rays = rays, .scene = rays->scene};
    const size_t n = rays->scene->n_edges;
    for (size_t i = 0; i < RAYS_MOST_EDGES; i++) {
        rays->waves[i].first = calloc(n + 1, sizeof *rays->waves[i].first);
        if (!rays->waves[i].first) return EARSHOT_MEMORY;
    }
    if (!es_rays_tracer_init(&p.tracer, rays->scene)) return EARSHOT_MEMORY;
    bool done = mirror_source(&p);
    p.tracer.hits.n = 0;
    done = done && add_singles(&p);
    for (unsigned edges = 1; edges <= RAYS_MOST_EDGES; edges++) {
        done = done && (edges == 1 || pass_all_on(&p, edges - 1));
        done = done && (edges > rays->options.edges || es_rays_outlook_fill(rays, edges));
    }
    rays->hits = p.tracer.hits; /* those of the waves */
    p.tracer.hits = (rays_hits){0};
    done = done && mirror_edges(&p) && !p.tracer.no_memory;
    es_rays_tracer_clear(&p.tracer);
    return done ? EARSHOT_OK : EARSHOT_MEMORY;
}
