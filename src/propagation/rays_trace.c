/* SPDX-License-Identifier: GPL-3.0-or-later */
/* All paths to one point. */
#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "base/units.h"
#include "propagation/rays_space.h"

/* Plans are drawn on a grid, so rays would pass exactly through corners and run exactly along walls, where a path is
 * neither this nor that side. Both ends are moved by the same far-from-round tenth of a micrometre. */
static const rays_point OFF_GRID = {1.3171e-7, 0.7639e-7};
static const double NEAREST_M = 1e-3;

es_rays_options es_rays_defaults(double frequency_hz)
{
    return (es_rays_options){.reflections = 4,
                             .before = 2,
                             .after = 1,
                             .floors = 1,
                             .over = true,
                             .edges = 3,
                             .thick_ends = true,
                             .product_floor = 1e-2,
                             .edge_floor = 1e-2,
                             .field_floor = 1e-3,
                             .keep_db = 25.0,
                             .promise = 0.5,
                             .patch_m = frequency_hz < 600e6 ? 0.7 : 0.5};
}

es_rays_options es_rays_map_defaults(double frequency_hz)
{
    es_rays_options options = es_rays_defaults(frequency_hz);
    options.reflections = 2;
    options.before = 1;
    options.after = 0;
    options.floors = 1;
    options.keep_db = 20.0;
    options.edges = 2;
    options.promise = 0.01;
    return options;
}

static rays_point off_grid(earshot_vec3 p)
{
    return (rays_point){p.x_m + OFF_GRID.x, p.y_m + OFF_GRID.y};
}

earshot_status es_rays_new(const es_rays_input *input, double frequency_hz, earshot_vec3 source,
                           const es_rays_options *options, es_rays **rays)
{
    *rays = NULL;
    struct es_rays *r = calloc(1, sizeof *r);
    if (!r) return EARSHOT_MEMORY;
    r->options = *options;
    r->weakest = pow(10.0, -options->keep_db / 20.0);
    r->source = off_grid(source);
    r->source_z = source.z_m;
    earshot_status status = es_rays_scene_new(input, frequency_hz, source, options->space, &r->scene);
    if (!status) {
        r->scene->thick_ends = options->thick_ends;
        status = es_rays_prepare(r);
    }
    if (status)
        es_rays_free(r);
    else
        *rays = r;
    return status;
}

void es_rays_free(es_rays *rays)
{
    if (!rays) return;
    for (size_t e = 0; rays->edge_image && e < rays->scene->n_edges; e++) es_rays_images_clear(&rays->edge_image[e]);
    free(rays->edge_image);
    es_rays_images_clear(&rays->images);
    for (size_t i = 0; i < RAYS_MOST_EDGES; i++) {
        free(rays->waves[i].item);
        free(rays->waves[i].first);
    }
    for (size_t i = 0; i < RAYS_MOST_EDGES; i++) free(rays->outlook[i]);
    free(rays->views.item);
    free(rays->bends.item);
    free(rays->hits.item);
    es_rays_scene_free(rays->scene);
    free(rays);
}

es_rays_work *es_rays_work_new(const es_rays *rays)
{
    es_rays_work *work = calloc(1, sizeof *work);
    if (!work) return NULL;
    work->weight = calloc(rays->scene->n_tables, sizeof *work->weight);
    if (work->weight && es_rays_tracer_init(&work->tracer, rays->scene)) return work;
    free(work->weight);
    free(work);
    return NULL;
}

void es_rays_work_free(es_rays_work *work)
{
    if (!work) return;
    es_rays_tracer_clear(&work->tracer);
    free(work->views.item);
    free(work->path);
    free(work->kept.item);
    free(work->met.item);
    free(work->chosen);
    free(work->risen);
    free(work->passed);
    free(work->weight);
    free(work);
}

/* ---- how weak is too weak ---- */

/* Where hardly anything arrives, paths are looked for again down to a share of what was found, so that those behind
 * many walls are judged like those behind few. Not below 100 dB in all. */
static const double FAINT = 0.2, DEEPEST_FLOOR = 1e-5;

/* The field floor goes with the floor of the products. */
static double field_floor(const es_rays *rays, const es_rays_work *work)
{
    return rays->options.field_floor * work->floor / rays->options.product_floor;
}

/* A lower floor for a strongest path of so much over free space; the floor in hand when that is low enough. */
static double floor_for(const es_rays_work *work, double strongest)
{
    return fmin(work->floor, fmax(FAINT * strongest, DEEPEST_FLOOR));
}

/* ---- collecting ---- */

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
    const double length_m = fmax(hypot(way.x, way.y), NEAREST_M);
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
    if (from->r_bound < floor || length_m < NEAREST_M) return;
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
    choose(rays, work, out, waves);
    if (!work->n_chosen) return;
    if (chain->length_m == 0.0) {
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
    if (out.length_m < NEAREST_M) return;
    const rays_point depart = es_rays_depart(scene, images, image, p);
    const double leaves = atan2(depart.y - out.edge->at.y, depart.x - out.edge->at.x);
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
    keep_speculars(rays, work, p);
    keep_by_edges(rays, work, p, z_m);
    if (work->tracer.no_memory) work->no_memory = true;
    drop_weak(rays, work);
}

static void add_up(const es_rays *rays, rays_path *path, size_t n, double scale, es_rays_result *result)
{
    const double k = rays->scene->k, patch_m = rays->options.patch_m;
    result->mean = scale * es_rays_patch_mean(path, n, k, patch_m);
    result->at_point = scale * es_rays_coherent(path, n);
    result->rice_k = es_rays_rice_k(path, n, k, patch_m);
    result->n_paths = n;
}

static double level_m(rays_point p, rays_point source)
{
    return fmax(rays_length(rays_minus(p, source)), NEAREST_M);
}

/* No way is shorter than the straight one, and none climbs more than the one that climbs most. */
static void set_heights(const es_rays *rays, es_rays_work *work, rays_point p, double z_m)
{
    const rays_courses all = es_rays_courses(rays, z_m);
    rays_heights *h = &work->heights;
    *h = (rays_heights){.to_z = z_m, .low_z = fmin(z_m, rays->source_z), .high_z = fmax(z_m, rays->source_z)};
    for (size_t i = 0; i < all.n; i++) {
        h->steep = fmax(h->steep, all.item[i].climb_m / level_m(p, rays->source));
        for (size_t b = 0; b < all.item[i].n_bounces; b++) {
            const double floor_z = rays->scene->floor[all.item[i].floor[b]].z_m;
            h->low_z = fmin(h->low_z, floor_z);
            h->high_z = fmax(h->high_z, floor_z);
        }
    }
    work->tracer.heights = h;
}

/* All paths in the work's floor: on the ground plan, or in space. Returns the strongest over free space. */
static double find(const es_rays *rays, es_rays_work *work, rays_point p, double z_m, es_rays_antennas antennas,
                   double distance_m)
{
    es_rays_trace(rays, work, p, z_m);
    if (work->no_memory) return 0.0;
    if (!rays->options.space) return work->strongest * sqrt(distance_m);
    work->promised = work->strongest * sqrt(level_m(p, rays->source));
    es_rays_rise(rays, work, p, z_m, antennas);
    return work->strongest * distance_m;
}

/* Straight above the source there would be no ground plan to follow. */
static rays_point beside(rays_point p, rays_point source)
{
    if (rays_length(rays_minus(p, source)) < 2.0 * NEAREST_M) p.x = source.x + 2.0 * NEAREST_M;
    return p;
}

earshot_status es_rays_at(const es_rays *rays, es_rays_work *work, earshot_vec3 point, es_rays_antennas antennas,
                          es_rays_result *result)
{
    const rays_point p = beside(off_grid(point), rays->source);
    const rays_point way = rays_minus(p, rays->source);
    const double rise_m = rays->options.space ? point.z_m - rays->source_z : 0.0;
    const double distance_m = sqrt(way.x * way.x + way.y * way.y + rise_m * rise_m);
    work->floor = rays->options.product_floor;
    work->most = INFINITY;
    work->tracer.heights = NULL;
    if (rays->options.space) set_heights(rays, work, p, point.z_m);
    const double strongest = find(rays, work, p, point.z_m, antennas, distance_m);
    const double deeper = floor_for(work, strongest);
    /* Ways are chosen on the ground plan by an upper bound, which a wall passes as if it were all window, and a block
     * lower than the ceiling as if it were not there. When much less arrives they are chosen again by what did: weaker
     * ones may be the strongest. */
    const bool broken = rays->options.space && strongest < rays->options.promise * work->promised;
    if ((deeper < work->floor || broken) && !work->no_memory) {
        work->floor = deeper;
        if (broken) work->most = fmax(strongest, DEEPEST_FLOOR) / sqrt(level_m(p, rays->source));
        find(rays, work, p, point.z_m, antennas, distance_m);
    }
    if (work->no_memory) return EARSHOT_MEMORY;
    if (rays->options.space)
        add_up(rays, work->risen, work->n_risen, distance_m * distance_m, result);
    else
        add_up(rays, work->path, work->n_paths, distance_m, result);
    return EARSHOT_OK;
}
