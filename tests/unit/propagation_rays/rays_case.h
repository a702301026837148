/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Small scenes for the tests of the rays model, and a look at single paths. */
#ifndef RAYS_CASE_H
#define RAYS_CASE_H

#include "propagation/rays_inner.h"
#include "support/check.h"

enum { BRICK_110, CONCRETE_200, CONDUCTOR, GLASS_8, PLASTERBOARD_100, GLASS_4, N_MATERIALS };

static const double HZ_433 = 433.92e6, HZ_868 = 868.3e6;

/* ITU-R P.2040-3 table 3. */
static const es_layer LAYER[N_MATERIALS] = {
    {.a = 3.91, .c = 0.0238, .d = 0.16, .thickness_m = 0.11},
    {.a = 5.24, .c = 0.0462, .d = 0.7822, .thickness_m = 0.2},
    {.a = 1.0, .conductor = true},
    {.a = 6.31, .c = 0.0036, .d = 1.3394, .thickness_m = 0.008},
    {.a = 2.73, .c = 0.0085, .d = 0.9395, .thickness_m = 0.1},
    {.a = 6.31, .c = 0.0036, .d = 1.3394, .thickness_m = 0.004},
};

static const es_material MATERIAL[N_MATERIALS] = {
    {.layer = &LAYER[0], .n_layers = 1, .thickness_m = 0.11},
    {.layer = &LAYER[1], .n_layers = 1, .thickness_m = 0.2},
    {.layer = &LAYER[2], .n_layers = 1},
    {.layer = &LAYER[3], .n_layers = 1, .thickness_m = 0.008},
    {.layer = &LAYER[4], .n_layers = 1, .thickness_m = 0.1},
    {.layer = &LAYER[5], .n_layers = 1, .thickness_m = 0.004},
};

/* A wall of all heights. */
static inline es_panel wall(double ax, double ay, double bx, double by, size_t material)
{
    return (es_panel){ax, ay, bx, by, -1e3, 1e3, 0, material, MATERIAL[material].thickness_m};
}

typedef struct rays_case {
    es_rays *rays;
    es_rays_work *work;
    earshot_vec3 source, point;
    es_rays_result result;
} rays_case;

/* Options under which nothing that a test asks for is dropped. */
static inline es_rays_options all_paths(double frequency_hz)
{
    es_rays_options options = es_rays_defaults(frequency_hz);
    options.product_floor = options.field_floor = 1e-5;
    options.edge_floor = 1e-4;
    options.keep_db = 60.0;
    return options;
}

static inline rays_case case_new(es_rays_input input, double frequency_hz, earshot_vec3 source, es_rays_options options)
{
    rays_case c = {.source = source};
    input.material = MATERIAL;
    input.n_materials = N_MATERIALS;
    assert_int_equal(es_rays_new(&input, frequency_hz, source, &options, &c.rays), EARSHOT_OK);
    c.work = es_rays_work_new(c.rays);
    assert_non_null(c.work);
    return c;
}

static inline void case_free(rays_case *c)
{
    es_rays_work_free(c->work);
    es_rays_free(c->rays);
}

static inline void case_at(rays_case *c, earshot_vec3 point, earshot_antenna antenna)
{
    c->point = point;
    assert_int_equal(es_rays_at(c->rays, c->work, point, (es_rays_antennas){antenna, antenna}, &c->result), EARSHOT_OK);
}

static inline double in_db(double power)
{
    return 10.0 * log10(power);
}

/* Of the plane's paths of this length (within 1 mm), diffracted or not: amplitude over free space. */
static inline double complex path_of(const rays_case *c, double length_m, bool diffracted)
{
    const double distance_m = hypot(c->point.x_m - c->source.x_m, c->point.y_m - c->source.y_m);
    for (size_t i = 0; i < c->work->n_paths; i++) {
        const rays_path *path = &c->work->path[i];
        if (fabs(path->length_m - length_m) > 1e-3 || (path->edge != RAYS_NONE) != diffracted) continue;
        return path->amplitude * sqrt(distance_m);
    }
    print_error("no path of %.4f m\n", length_m);
    fail();
    return 0.0;
}

/* All paths together, as a field. */
static inline double complex total(const rays_case *c)
{
    double complex sum = 0.0;
    for (size_t i = 0; i < c->work->n_paths; i++) sum += c->work->path[i].amplitude;
    return sum;
}

#define check_field(actual, re, im, tolerance)                                                                         \
    do {                                                                                                               \
        const double complex field_ = (actual);                                                                        \
        check_close(creal(field_), re, tolerance, "of free space");                                                    \
        check_close(cimag(field_), im, tolerance, "of free space");                                                    \
    } while (0)

#endif
