/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rays model as the program uses it: one source of a structure, loss to many points. */
#include <math.h>
#include <stdatomic.h>
#include <stdlib.h>

#include "base/units.h"
#include "propagation/rays.h"

static const double NEAREST_M = 0.1;

/* Nothing is heard through this; a larger figure would say no more. */
static const double MOST_DB = 200.0;

/* Standard deviation of the model itself by how far the field lies below free space: in the open, obstructed, heavily
 * obstructed, deep shadow. In each region at least its RMSE against the reference fields, and so much that 93.5 % of
 * the true point values hold at 95 % (tests/reference/ref_confidence.c; docs/model/rays.md has the table). */
static const struct {
    double above_db, sigma_db;
} REGION[] = {{-3.0, 2.5}, {-10.0, 4.0}, {-20.0, 5.0}, {-INFINITY, 6.0}};

/* Strong single paths fade a little deeper than Rice says; capping K at 15 dB covers it (judgement from the same
 * fields). */
static const double MOST_K = 31.6;

/* What a map's fewer paths add to that, in quadrature: 2.4 dB instead of 2.1 over the same fields. */
static const double MAP_SIGMA_DB = 1.2;

/* Works at rest, for the next thread that wants one. More threads than this make their own and free it. */
enum { RESTING = 16 };

struct es_rays_field {
    _Atomic(es_rays_work *) resting[RESTING];
    es_rays *rays;
    const es_structure *structure;
    double frequency_hz;
    earshot_vec3 source;
    earshot_antenna antenna;
    earshot_detail detail;
};

static es_rays_input input_of(const es_structure *structure)
{
    es_rays_input input = {.material = structure->material,
                           .n_materials = structure->n_materials,
                           .ground = structure->ground,
                           .ground_z_m = structure->ground_z_m};
    input.panel = es_geometry_panels(structure->geometry, &input.n_panels);
    input.sheet = es_geometry_sheets(structure->geometry, &input.n_sheets);
    input.prism = es_geometry_prisms(structure->geometry, &input.n_prisms);
    return input;
}

earshot_status es_rays_field_new(const es_structure *structure, double frequency_hz, earshot_vec3 source,
                                 earshot_antenna antenna, earshot_detail detail, es_rays_field **field)
{
    *field = NULL;
    es_rays_field *made = calloc(1, sizeof *made);
    if (!made) return EARSHOT_MEMORY;
    made->structure = structure;
    made->frequency_hz = frequency_hz;
    made->source = source;
    made->antenna = antenna;
    made->detail = detail;
    const es_rays_input input = input_of(structure);
    es_rays_options options =
        detail == EARSHOT_DETAIL_MAP ? es_rays_map_defaults(frequency_hz) : es_rays_defaults(frequency_hz);
    options.space = true;
    const earshot_status status = es_rays_new(&input, frequency_hz, source, &options, &made->rays);
    if (status)
        free(made);
    else
        *field = made;
    return status;
}

void es_rays_field_free(es_rays_field *field)
{
    if (!field) return;
    for (size_t i = 0; i < RESTING; i++) es_rays_work_free(atomic_load(&field->resting[i]));
    es_rays_free(field->rays);
    free(field);
}

/* The pool is no part of what the field says, so that a const field may lend from it. */
static es_rays_work *lend(const es_rays_field *field)
{
    es_rays_field *pool = (es_rays_field *)field;
    for (size_t i = 0; i < RESTING; i++) {
        es_rays_work *work = atomic_exchange(&pool->resting[i], NULL);
        if (work) return work;
    }
    return es_rays_work_new(field->rays);
}

static void take_back(const es_rays_field *field, es_rays_work *work)
{
    es_rays_field *pool = (es_rays_field *)field;
    for (size_t i = 0; i < RESTING; i++) {
        es_rays_work *none = NULL;
        if (atomic_compare_exchange_strong(&pool->resting[i], &none, work)) return;
    }
    es_rays_work_free(work);
}

/* A point too near is moved out along its line, to the side if it is the source itself. */
static earshot_vec3 not_too_near(const es_rays_field *field, earshot_vec3 p)
{
    const double dx = p.x_m - field->source.x_m, dy = p.y_m - field->source.y_m, dz = p.z_m - field->source.z_m;
    const double distance_m = sqrt(dx * dx + dy * dy + dz * dz);
    if (distance_m >= NEAREST_M) return p;
    if (distance_m == 0.0) return (earshot_vec3){p.x_m + NEAREST_M, p.y_m, p.z_m};
    const double out = NEAREST_M / distance_m;
    return (earshot_vec3){field->source.x_m + out * dx, field->source.y_m + out * dy, field->source.z_m + out * dz};
}

void es_rays_doubt(double gain_db, double rice_k, earshot_loss *loss)
{
    size_t i = 0;
    while (gain_db < REGION[i].above_db) i++;
    loss->model_sigma_db = REGION[i].sigma_db;
    loss->rice_k = fmin(rice_k, MOST_K);
}

/* Gain of an antenna in its best direction, as rays_space.c has it. */
static double best_db(earshot_antenna antenna)
{
    if (antenna == EARSHOT_ANTENNA_ISOTROPIC) return 0.0;
    return 10.0 * log10(antenna >= EARSHOT_ANTENNA_DIPOLE_VERTICAL ? 1.64 : 1.5);
}

earshot_status es_rays_field_at(const es_rays_field *field, earshot_vec3 point, earshot_antenna antenna,
                                earshot_loss *loss)
{
    const earshot_vec3 p = not_too_near(field, point);
    earshot_loss straight;
    es_rays_result result;
    earshot_status status = es_direct_loss(field->structure, field->frequency_hz, field->source, p, &straight);
    if (status) return status;
    es_rays_work *work = lend(field);
    if (!work) return EARSHOT_MEMORY;
    status = es_rays_at(field->rays, work, p, (es_rays_antennas){field->antenna, antenna}, &result);
    const double spread_db = status ? 0.0 : es_rays_spread_db(field->rays, work, field->structure->material);
    take_back(field, work);
    if (status) return status;
    const double gain_db = result.mean > 0.0 ? 10.0 * log10(result.mean) : -MOST_DB;
    *loss = straight;
    loss->material_sigma_db = spread_db;
    loss->loss_db = straight.free_space_db - fmax(gain_db, -MOST_DB);
    es_rays_doubt(gain_db - best_db(field->antenna) - best_db(antenna), result.rice_k, loss);
    if (field->detail == EARSHOT_DETAIL_MAP) loss->model_sigma_db = hypot(loss->model_sigma_db, MAP_SIGMA_DB);
    return EARSHOT_OK;
}

earshot_status es_rays_field_paths(const es_rays_field *field, earshot_vec3 point, earshot_antenna antenna,
                                   earshot_path *account, size_t limit, size_t *n)
{
    es_rays_result result;
    es_rays_work *work = lend(field);
    if (!work) return EARSHOT_MEMORY;
    const earshot_vec3 p = not_too_near(field, point);
    const earshot_status status =
        es_rays_at(field->rays, work, p, (es_rays_antennas){field->antenna, antenna}, &result);
    if (!status) *n = es_rays_strongest(field->rays, work, account, limit);
    take_back(field, work);
    return status;
}
