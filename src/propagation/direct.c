/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The direct model: free space plus what the straight line crosses. docs/model/direct.md says why each rule is so. */
#include <math.h>
#include <stdlib.h>

#include "propagation/model.h"

static const double NEAREST_M = 0.1;

/* The model's own error against full-wave fields of known buildings (docs/model/direct.md). Clear line: RMSE 2.6 dB,
 * rounded up. Through anything, a pane of glass included: 5.0 = 8.2 / 1.645, which matches the one-sided 95 % point of
 * errors whose tails are heavier than their RMSE of 4.2 dB tells. Behind closed metal the model is wrong by far more,
 * but to the safe side in all but a few places (mean -26 dB, 95 % point -9 dB), and an allowance would only add to
 * that: as walls. */
static const double CLEAR_SIGMA_DB = 3.0, OBSTRUCTED_SIGMA_DB = 5.0;

/* Rice factor of a clear line. */
static const double CLEAR_RICE_DB = 6.0;

/* One thing in the way. */
typedef struct obstacle {
    double loss_db, spread_db;
    double weight; /* share of its loss that counts */
    size_t material;
    bool floor;
} obstacle;

enum { ON_STACK = 64 };

/* Room for the crossings and obstacles of one line; most lines fit on the stack. */
typedef struct workspace {
    earshot_crossing few_crossings[ON_STACK];
    obstacle few_obstacles[ON_STACK];
    earshot_crossing *crossing;
    obstacle *obstacle;
    size_t n_crossings, n_obstacles;
} workspace;

static void free_workspace(workspace *w)
{
    if (w->crossing != w->few_crossings) free(w->crossing);
    if (w->obstacle != w->few_obstacles) free(w->obstacle);
}

static earshot_status find_crossings(const es_geometry *geometry, earshot_vec3 a, earshot_vec3 b, workspace *w)
{
    w->crossing = w->few_crossings;
    w->obstacle = w->few_obstacles;
    const earshot_status status = es_geometry_crossings(geometry, a, b, w->crossing, ON_STACK, &w->n_crossings);
    if (status || w->n_crossings <= ON_STACK) return status;
    const size_t n = w->n_crossings;
    w->crossing = malloc(n * sizeof *w->crossing);
    w->obstacle = malloc(n * sizeof *w->obstacle);
    if (!w->crossing || !w->obstacle) return EARSHOT_MEMORY;
    return es_geometry_crossings(geometry, a, b, w->crossing, n, &w->n_crossings);
}

static obstacle obstacle_of(const es_structure *structure, double frequency_hz, const earshot_crossing *crossing)
{
    const earshot_element element = structure->element[crossing->element];
    const es_material *material = &structure->material[element.material];
    return (obstacle){.loss_db = es_material_loss_db(material, frequency_hz, NULL),
                      .spread_db = material->spread_db,
                      .weight = 1.0,
                      .material = element.material,
                      .floor = element.kind == EARSHOT_ELEMENT_SLAB};
}

/* Of what shares one spot the line passes through the worst and no other. Equal losses: the wider spread counts. */
static bool is_worse(const obstacle *a, const obstacle *b)
{
    if (a->loss_db != b->loss_db) return a->loss_db > b->loss_db;
    return a->spread_db > b->spread_db;
}

static void find_obstacles(const es_structure *structure, double frequency_hz, workspace *w)
{
    w->n_obstacles = 0;
    for (size_t i = 0; i < w->n_crossings; i++) {
        const obstacle found = obstacle_of(structure, frequency_hz, &w->crossing[i]);
        const bool same_spot = i > 0 && w->crossing[i].group == w->crossing[i - 1].group;
        if (!same_spot)
            w->obstacle[w->n_obstacles++] = found;
        else if (is_worse(&found, &w->obstacle[w->n_obstacles - 1]))
            w->obstacle[w->n_obstacles - 1] = found;
    }
}

/* Floors first, the largest loss first among them; then by material. Sums are taken in this order. */
static int floors_then_material(const void *a, const void *b)
{
    const obstacle *x = a, *y = b;
    if (x->floor != y->floor) return x->floor ? -1 : 1;
    if (x->floor && x->loss_db != y->loss_db) return x->loss_db > y->loss_db ? -1 : 1;
    return (x->material > y->material) - (x->material < y->material);
}

static int by_material(const void *a, const void *b)
{
    const obstacle *x = a, *y = b;
    if (x->material != y->material) return x->material < y->material ? -1 : 1;
    return (x->weight < y->weight) - (x->weight > y->weight);
}

static double sum_losses(workspace *w)
{
    double sum_db = 0.0;
    qsort(w->obstacle, w->n_obstacles, sizeof *w->obstacle, floors_then_material);
    for (size_t i = 0; i < w->n_obstacles; i++) {
        obstacle *o = &w->obstacle[i];
        if (o->floor) o->weight = es_floor_weight(i);
        sum_db += o->weight * o->loss_db;
    }
    return sum_db;
}

/* Walls of one material in one building are wrong together: their spreads add. Materials are wrong independently: in
 * quadrature. */
static double sum_spreads(workspace *w)
{
    double squares = 0.0, of_material = 0.0;
    qsort(w->obstacle, w->n_obstacles, sizeof *w->obstacle, by_material);
    for (size_t i = 0; i < w->n_obstacles; i++) {
        const obstacle *o = &w->obstacle[i];
        of_material += o->weight * o->spread_db;
        if (i + 1 < w->n_obstacles && w->obstacle[i + 1].material == o->material) continue;
        squares += of_material * of_material;
        of_material = 0.0;
    }
    return sqrt(squares);
}

/* What stands in the way weakens the straight path; what comes by other ways is taken to stay. So a pane of glass
 * changes little, and a wall or two lead to Rayleigh fading. */
static double rice_factor(double obstacles_db)
{
    return pow(10.0, (CLEAR_RICE_DB - obstacles_db) / 10.0);
}

static double distance_between(earshot_vec3 a, earshot_vec3 b)
{
    return fmax(NEAREST_M, hypot(hypot(b.x_m - a.x_m, b.y_m - a.y_m), b.z_m - a.z_m));
}

static bool is_finite(earshot_vec3 p)
{
    return isfinite(p.x_m) && isfinite(p.y_m) && isfinite(p.z_m);
}

static void fill_loss(const es_structure *structure, double frequency_hz, double distance_m, workspace *w,
                      earshot_loss *loss)
{
    find_obstacles(structure, frequency_hz, w);
    const double obstacles_db = sum_losses(w);
    const double free_space_db = earshot_free_space_db(distance_m, frequency_hz);
    *loss = (earshot_loss){.distance_m = distance_m,
                           .free_space_db = free_space_db,
                           .loss_db = free_space_db + obstacles_db,
                           .material_sigma_db = sum_spreads(w),
                           .model_sigma_db = obstacles_db > 0.0 ? OBSTRUCTED_SIGMA_DB : CLEAR_SIGMA_DB,
                           .rice_k = rice_factor(obstacles_db),
                           .n_obstacles = w->n_obstacles};
}

earshot_status es_direct_loss(const es_structure *structure, double frequency_hz, earshot_vec3 a, earshot_vec3 b,
                              earshot_loss *loss)
{
    if (!is_finite(a) || !is_finite(b) || !isfinite(frequency_hz) || frequency_hz <= 0.0) return EARSHOT_ARGUMENT;
    /* Both directions give the same bits: crossings and distance do, and sums are taken in an order of their own. */
    workspace w;
    const earshot_status status = find_crossings(structure->geometry, a, b, &w);
    if (!status) fill_loss(structure, frequency_hz, distance_between(a, b), &w, loss);
    free_workspace(&w);
    return status;
}

static void add_weights(const es_structure *structure, double frequency_hz, workspace *w, double *weight)
{
    for (size_t i = 0; i < structure->n_materials; i++) weight[i] = 0.0;
    find_obstacles(structure, frequency_hz, w);
    sum_losses(w);
    for (size_t i = 0; i < w->n_obstacles; i++) weight[w->obstacle[i].material] += w->obstacle[i].weight;
}

earshot_status es_direct_weights(const es_structure *structure, double frequency_hz, earshot_vec3 a, earshot_vec3 b,
                                 double *weight)
{
    if (!is_finite(a) || !is_finite(b) || !isfinite(frequency_hz) || frequency_hz <= 0.0) return EARSHOT_ARGUMENT;
    workspace w;
    const earshot_status status = find_crossings(structure->geometry, a, b, &w);
    if (!status) add_weights(structure, frequency_hz, &w, weight);
    free_workspace(&w);
    return status;
}
