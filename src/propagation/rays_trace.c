/* SPDX-License-Identifier: GPL-3.0-or-later */
/* All paths to one point on the ground plan. */
#include <math.h>

#include "base/arena.h"
#include "propagation/rays_inner.h"

/* ---- collecting ---- */

/* The field floor goes with the floor of the products. */
static double field_floor(const es_rays *rays, const es_rays_work *work)
{
    return rays->options.field_floor * work->floor / rays->options.product_floor;
}

/* A path weaker than this will not be kept. */
static double least(const es_rays *rays, const es_rays_work *work)
{
    return fmin(work->strongest, work->most) * rays->weakest;
}

/* Likewise a diffracted path. */
static double least_diffracted(const es_rays *rays, const es_rays_work *work)
{
    return fmax(field_floor(rays, work), least(rays, work));
}

/* The hits of a path's last part, which the tracer is about to forget. */
static bool keep_hits(es_rays_work *work, const rays_chain *chain, rays_path *path)
{
    path->first_hit = work->kept.n;
    path->n_hits = chain->n_hits;
    for (size_t i = 0; i < chain->n_hits; i++) {
        void *items = work->kept.item;
        if (!es_grow(&items, &work->kept.room, work->kept.n, sizeof *work->kept.item)) return false;
        work->kept.item = items;
        work->kept.item[work->kept.n++] = work->tracer.hits.item[chain->first_hit + i];
    }
    return true;
}

static void keep(const es_rays *rays, es_rays_work *work, rays_path path)
{
    const double size = rays_size(path.amplitude);
    if (!(size > 0.0) || size < least(rays, work)) return;
    void *items = work->path;
    if (!es_grow(&items, &work->path_room, work->n_paths, sizeof path)) {
        work->no_memory = true;
        return;
    }
    work->path = items;
    work->path[work->n_paths++] = path;
    work->strongest = fmax(work->strongest, size);
}

static void drop_weak(const es_rays *rays, es_rays_work *work)
{
    const double limit = least(rays, work);
    size_t kept = 0;
    for (size_t i = 0; i < work->n_paths; i++)
        if (rays_size(work->path[i].amplitude) >= limit) work->path[kept++] = work->path[i];
    work->n_paths = kept;
}

static double complex passage(const es_rays *rays, const es_rays_work *work, const rays_chain *chain)
{
    const rays_hit *hits = chain->n_hits ? &work->tracer.hits.item[chain->first_hit] : NULL;
    const double complex product =
        rays->options.space ? chain->bound : es_rays_product(rays->scene, hits, chain->n_hits, 0.0);
    return product * cexp(-I * (rays->scene->k * chain->length_m)) / sqrt(chain->length_m);
}

static rays_path arriving(rays_point p, const rays_chain *chain)
{
    const rays_point way = rays_minus(p, chain->arrive);
    const double length_m = fmax(hypot(way.x, way.y), RAYS_NEAREST_M);
    return (rays_path){.ux = way.x / length_m, .uy = way.y / length_m, .length_m = chain->length_m};
}

/* ---- without diffraction ---- */

static void keep_specular(const es_rays *rays, es_rays_work *work, rays_point p, size_t image)
{
    const rays_image *from = &rays->images.item[image];
    const double length_m = rays_length(rays_minus(p, from->at));
    const double floor = image ? fmax(work->floor, least(rays, work) * sqrt(length_m)) : RAYS_NOTHING;
    rays_chain chain;
    work->heights.from_z = rays->source_z;
    work->heights.length_m = length_m;
    if (from->r_bound < floor || length_m < RAYS_NEAREST_M) return;
    if (!es_rays_follow(rays->scene, &work->tracer, &rays->images, image, p, NULL, NULL, floor, &chain)) return;
    rays_path path = arriving(p, &chain);
    path.amplitude = passage(rays, work, &chain);
    path.passed = chain.bound;
    path.image = (uint32_t)image;
    path.edge = path.wave = RAYS_NONE;
    if (!keep_hits(work, &chain, &path)) work->no_memory = true;
    keep(rays, work, path);
}

static void keep_speculars(const es_rays *rays, es_rays_work *work, rays_point p)
{
    for (size_t i = 0; i < rays->images.n; i++) {
        const rays_image *image = &rays->images.item[i];
        if (image->order > rays->options.reflections) break;
        work->tracer.hits.n = 0;
        if (image->order == 0 || es_rays_in_beam(image, p)) keep_specular(rays, work, p, i);
    }
}

/* ---- by way of an edge ---- */

/* One way from an edge to the point. */
typedef struct exit {
    const rays_edge *edge;
    size_t number, image;
    rays_side side;
    double length_m, root_m; /* and its square root */
    double bound;            /* of R and T, as far as is known */
    double needed;           /* bound that some wave needs to be worth it, at least */
    bool traced;
} exit_way;

/* Amplitude of a wave as it leaves the edge. */
static double complex diffracted(const es_rays *rays, const es_rays_work *work, const exit_way *out,
                                 const rays_wave *wave)
{
    const double s_m = out->length_m;
    const rays_scale scale = {rays->scene->k, rays_distance_m(wave->reach_m, s_m), RAYS_UPRIGHT};
    const double complex joined = es_rays_joined(rays, wave, out->edge, &out->side, work->views.item, s_m);
    if (joined != 0.0) return joined;
    if (wave->slope_face != RAYS_NONE)
        return wave->amplitude *
               es_rays_wedge_slope(rays->scene, out->edge, wave->slope_face, out->side.angle_rad, scale);
    return wave->amplitude * es_rays_diffract(rays->scene, out->edge, &wave->side,
                                              &rays->views.item[wave->side.first_view], &out->side,
                                              &work->views.item[out->side.first_view], scale);
}

static bool worth_it(const es_rays *rays, const es_rays_work *work, const exit_way *out, const rays_wave *wave)
{
    if (wave->product * out->bound < work->floor) return false;
    if (wave->slope_face != RAYS_NONE) return true;
    const double most = wave->size * out->bound / out->root_m *
                        es_rays_diffract_bound(
                            rays->scene, out->edge, &wave->side, &rays->views.item[wave->side.first_view], &out->side,
                            &work->views.item[out->side.first_view], rays_least(wave->root_m, out->root_m));
    return most >= least_diffracted(rays, work);
}

/* Can any wave be worth it? Quick, and true more often than worth_it(). Says for which waves, by the edges they met. */
static bool promises(const es_rays *rays, const es_rays_work *work, double leaves_rad, exit_way *out,
                     bool promising[RAYS_MOST_EDGES])
{
    const double wanted = least_diffracted(rays, work);
    double best = 0.0;
    for (unsigned i = 0; i < RAYS_MOST_EDGES; i++) {
        const double most = es_rays_outlook(rays, i + 1, out->number, leaves_rad) * out->bound / out->root_m;
        promising[i] = most >= wanted;
        best = fmax(best, most);
    }
    out->needed = out->bound * wanted / best;
    return best >= wanted;
}

/* Note the waves at the exit's edge that can make a path worth keeping. */
static void choose(const es_rays *rays, es_rays_work *work, const exit_way *out, const rays_waves *waves)
{
    work->n_chosen = 0;
    for (size_t w = waves->first[out->number]; w < waves->first[out->number + 1]; w++) {
        if (!worth_it(rays, work, out, &waves->item[w])) continue;
        void *items = work->chosen;
        if (!es_grow(&items, &work->chosen_room, work->n_chosen, sizeof *work->chosen)) {
            work->no_memory = true;
            return;
        }
        work->chosen = items;
        work->chosen[work->n_chosen++] = (uint32_t)w;
    }
}

static void keep_chosen(const es_rays *rays, es_rays_work *work, const exit_way *out, uint32_t n_edges,
                        double complex passed, rays_path path)
{
    path.edge = (uint32_t)out->number;
    path.image = (uint32_t)out->image;
    path.n_edges = n_edges;
    for (size_t i = 0; i < work->n_chosen; i++) {
        const rays_wave *wave = &rays->waves[n_edges - 1].item[work->chosen[i]];
        rays_path one = path;
        one.amplitude = diffracted(rays, work, out, wave) * passed;
        one.passed *= wave->passed;
        one.length_m += wave->travelled_m;
        one.wave = work->chosen[i];
        if (rays_size(one.amplitude) >= field_floor(rays, work)) keep(rays, work, one);
    }
}

/* The way is traced only when some wave is worth it, and but once. */
static void keep_waves(const es_rays *rays, es_rays_work *work, rays_point p, exit_way *out, uint32_t n_edges,
                       rays_chain *chain)
{
    const rays_waves *waves = &rays->waves[n_edges - 1];
    if (out->bound == 0.0) return;
    choose(rays, work, out, waves);
    if (!work->n_chosen) return;
    if (!out->traced) {
        out->traced = true;
        work->heights.from_z = NAN;
        work->heights.length_m = out->length_m;
        if (!es_rays_follow(rays->scene, &work->tracer, &rays->edge_image[out->number], out->image, p, out->edge, NULL,
                            fmax(work->floor, out->needed), chain)) {
            out->bound = 0.0;
            return;
        }
        out->bound = chain->bound;
        choose(rays, work, out, waves);
    }
    rays_path path = arriving(p, chain);
    path.passed = chain->bound;
    if (!keep_hits(work, chain, &path)) work->no_memory = true;
    keep_chosen(rays, work, out, n_edges, passage(rays, work, chain), path);
}

static void keep_by_edge(const es_rays *rays, es_rays_work *work, rays_point p, double z_m, size_t e, size_t image)
{
    const rays_scene *scene = rays->scene;
    const rays_images *images = &rays->edge_image[e];
    const rays_image *from = &images->item[image];
    exit_way out = {.edge = &scene->edge[e], .number = e, .image = image, .bound = from->r_bound};
    out.length_m = rays_length(rays_minus(p, from->at));
    out.root_m = sqrt(out.length_m);
    if (out.length_m < RAYS_NEAREST_M) return;
    const rays_point depart = es_rays_depart(scene, images, image, p);
    const double leaves = rays_angle(out.edge->at, depart);
    if (!es_rays_edge_open(scene, out.edge, leaves)) return;
    bool promising[RAYS_MOST_EDGES];
    if (!promises(rays, work, leaves, &out, promising)) return;
    const rays_meet level = {z_m, {1.0, 0.0}, RAYS_UPRIGHT};
    work->tracer.hits.n = work->views.n = 0;
    if (!es_rays_side_at(scene, out.edge, leaves, level, &work->views, &out.side)) {
        work->no_memory = true;
        return;
    }
    es_rays_bound_jump(scene, out.edge, &work->views, &out.side);
    rays_chain chain = {.length_m = 0.0};
    for (uint32_t i = 0; i < RAYS_MOST_EDGES; i++)
        if (promising[i]) keep_waves(rays, work, p, &out, i + 1, &chain);
}

static bool arrives(const es_rays *rays, size_t edge)
{
    for (size_t i = 0; i < RAYS_MOST_EDGES; i++)
        if (rays->waves[i].first[edge] < rays->waves[i].first[edge + 1]) return true;
    return false;
}

static void keep_by_edges(const es_rays *rays, es_rays_work *work, rays_point p, double z_m)
{
    for (size_t e = 0; e < rays->scene->n_edges; e++) {
        const rays_images *images = &rays->edge_image[e];
        if (!arrives(rays, e)) continue;
        for (size_t i = 0; i < images->n; i++)
            if (i == 0 || es_rays_in_beam(&images->item[i], p)) keep_by_edge(rays, work, p, z_m, e, i);
    }
}

void es_rays_trace(const es_rays *rays, es_rays_work *work, rays_point p, double z_m)
{
    work->n_paths = work->kept.n = 0;
    work->strongest = 0.0;
    work->no_memory = work->tracer.no_memory = false;
    work->tracer.heights = rays->options.space ? &work->heights : NULL;
    keep_speculars(rays, work, p);
    keep_by_edges(rays, work, p, z_m);
    work->tracer.heights = NULL;
    if (work->tracer.no_memory) work->no_memory = true;
    drop_weak(rays, work);
}
