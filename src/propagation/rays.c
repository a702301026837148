/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rays model: a source made ready, and the field at a point. */
#include <math.h>
#include <stdlib.h>

#include "base/arena.h"
#include "base/units.h"
#include "propagation/rays_space.h"

/* Plans are drawn on a grid, so rays would pass exactly through corners and run exactly along walls, where a path is
 * neither this nor that side. Both ends are moved by the same far-from-round tenth of a micrometre. */
static const rays_point OFF_GRID = {1.3171e-7, 0.7639e-7};

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
        free(rays->outlook[i]);
    }
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

/* ---- at a point ---- */

/* Where hardly anything arrives, paths are looked for again down to a share of what was found, so that those behind
 * many walls are judged like those behind few. */
static const double FAINT = 0.2;

/* A lower floor for a strongest path of so much over free space; the floor in hand when that is low enough. */
static double floor_for(const es_rays_work *work, double strongest)
{
    return fmin(work->floor, fmax(FAINT * strongest, RAYS_DEEPEST_FLOOR));
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
    return fmax(rays_length(rays_minus(p, source)), RAYS_NEAREST_M);
}

/* The point, and how it is reached. */
typedef struct target {
    rays_point p;
    double z_m, distance_m;
    es_rays_antennas antennas;
    rays_courses courses; /* in space */
} target;

/* No way is shorter than the straight one, and none climbs more than the one that climbs most. */
static void set_heights(const es_rays *rays, es_rays_work *work, const target *t)
{
    const double z_m = t->z_m;
    rays_heights *h = &work->heights;
    *h = (rays_heights){.to_z = z_m, .low_z = fmin(z_m, rays->source_z), .high_z = fmax(z_m, rays->source_z)};
    for (size_t i = 0; i < t->courses.n; i++) {
        const rays_course *c = &t->courses.item[i];
        h->steep = fmax(h->steep, c->climb_m / level_m(t->p, rays->source));
        for (size_t b = 0; b < c->n_bounces; b++) {
            const double floor_z = rays->scene->floor[c->floor[b]].z_m;
            h->low_z = fmin(h->low_z, floor_z);
            h->high_z = fmax(h->high_z, floor_z);
        }
    }
}

/* All paths in the work's floor: on the ground plan, or in space. Returns the strongest over free space. */
static double find(const es_rays *rays, es_rays_work *work, const target *t)
{
    es_rays_trace(rays, work, t->p, t->z_m);
    if (work->no_memory) return 0.0;
    if (!rays->options.space) return work->strongest * sqrt(t->distance_m);
    work->promised = work->strongest * sqrt(level_m(t->p, rays->source));
    es_rays_rise(rays, work, &t->courses, t->p, t->z_m, t->antennas);
    return work->strongest * t->distance_m;
}

/* Straight above the source there would be no ground plan to follow. */
static rays_point beside(rays_point p, rays_point source)
{
    if (rays_length(rays_minus(p, source)) < 2.0 * RAYS_NEAREST_M) p.x = source.x + 2.0 * RAYS_NEAREST_M;
    return p;
}

earshot_status es_rays_at(const es_rays *rays, es_rays_work *work, earshot_vec3 point, es_rays_antennas antennas,
                          es_rays_result *result)
{
    const rays_point p = beside(off_grid(point), rays->source);
    const rays_point way = rays_minus(p, rays->source);
    const double rise_m = rays->options.space ? point.z_m - rays->source_z : 0.0;
    const double distance_m = sqrt(way.x * way.x + way.y * way.y + rise_m * rise_m);
    target t = {.p = p, .z_m = point.z_m, .distance_m = distance_m, .antennas = antennas};
    work->floor = rays->options.product_floor;
    work->most = INFINITY;
    if (rays->options.space) {
        t.courses = es_rays_courses(rays, point.z_m);
        set_heights(rays, work, &t);
    }
    const double strongest = find(rays, work, &t);
    const double deeper = floor_for(work, strongest);
    /* Ways are chosen on the ground plan by what the walls let through at most at the heights where a way can be there,
     * as if no floor lay between. When much less arrives they are chosen again by what did: weaker ones may be the
     * strongest. */
    const bool broken = rays->options.space && strongest < rays->options.promise * work->promised;
    if ((deeper < work->floor || broken) && !work->no_memory) {
        work->floor = deeper;
        if (broken) work->most = fmax(strongest, RAYS_DEEPEST_FLOOR) / sqrt(level_m(p, rays->source));
        find(rays, work, &t);
    }
    if (work->no_memory) return EARSHOT_MEMORY;
    if (rays->options.space)
        add_up(rays, work->risen, work->n_risen, distance_m * distance_m, result);
    else
        add_up(rays, work->path, work->n_paths, distance_m, result);
    return EARSHOT_OK;
}
