/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The direct model against full-wave fields of invented buildings whose materials are known exactly (six plans, two
 * bands; fields/ says how they were solved). What differs is the model's own error. The standard deviations that
 * direct.c states come from the table this prints; docs/model/direct.md shows it. */
#include "reference/field_plan.h"
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>

#include "earshot/link.h"
#include "propagation/model.h"

/* What stands on the straight line. */
enum { CLEAR, WALLS, OPAQUE, KINDS };
static const char *const KIND[KINDS] = {"nothing", "walls", "closed metal"};

enum { MOST_ERRORS = 8000 };

typedef struct errors {
    double db[MOST_ERRORS];
    size_t n;
    size_t below; /* points weaker than the level less the allowance at 95 % */
} errors;

static errors ERROR_OF[KINDS];

static double mean_db(const errors *e)
{
    double sum = 0.0;
    for (size_t i = 0; i < e->n; i++) sum += e->db[i];
    return sum / (double)e->n;
}

static double rmse_db(const errors *e)
{
    double sum = 0.0;
    for (size_t i = 0; i < e->n; i++) sum += e->db[i] * e->db[i];
    return sqrt(sum / (double)e->n);
}

static double deviation_db(const errors *e)
{
    return sqrt(rmse_db(e) * rmse_db(e) - mean_db(e) * mean_db(e));
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* The errors must be sorted. */
static double quantile_db(const errors *e, double share)
{
    return e->db[(size_t)(share * (double)(e->n - 1))];
}

static double share_below(const errors *e)
{
    return 100.0 * (double)e->below / (double)e->n;
}

static es_structure structure_of(const field_plan *plan, const es_geometry *geometry, earshot_element *element)
{
    for (size_t i = 0; i < plan->n_panels; i++)
        element[plan->panel[i].element] =
            (earshot_element){.kind = EARSHOT_ELEMENT_WALL, .material = plan->panel[i].material};
    for (size_t i = 0; i < plan->n_prisms; i++)
        element[plan->prism[i].element] =
            (earshot_element){.kind = EARSHOT_ELEMENT_BLOCK, .material = plan->prism[i].material};
    return (es_structure){
        .geometry = geometry, .material = plan->material, .n_materials = plan->n_materials, .element = element};
}

/* A conductor without a table counts 30 dB in the direct model; no wall of these plans comes near that. */
static int kind_of(const earshot_loss *loss)
{
    if (!loss->n_obstacles) return CLEAR;
    return loss->loss_db - loss->free_space_db >= 30.0 ? OPAQUE : WALLS;
}

/* As docs/model/link-budget.md has it, without doubt about the materials, which are known here. */
static double allowance_db(const earshot_loss *loss)
{
    return hypot(earshot_fading_depth_db(loss->rice_k, 0.95), 1.644854 * loss->model_sigma_db);
}

/* Positive: the model promises more than arrives. */
static void collect(const es_structure *structure, double frequency_hz, earshot_vec3 source, const field_point *point,
                    size_t n)
{
    for (size_t i = 0; i < n; i++) {
        earshot_loss loss;
        const earshot_vec3 at = {point[i].x_m, point[i].y_m, 0.0};
        assert_int_equal(es_direct_loss(structure, frequency_hz, source, at, &loss), EARSHOT_OK);
        errors *e = &ERROR_OF[kind_of(&loss)];
        assert_true(e->n < MOST_ERRORS);
        const double level_db = loss.free_space_db - loss.loss_db;
        e->db[e->n++] = level_db - point[i].gain_db;
        e->below += point[i].gain_point_db < level_db - allowance_db(&loss);
    }
}

static void collect_plan(const char *name)
{
    static field_point point[FIELD_MAX_POINTS];
    static const struct {
        const char *tail;
        double frequency_hz;
    } band[] = {{"433", 433.92e6}, {"868", 868.30e6}};
    char path[400];
    snprintf(path, sizeof path, EARSHOT_SOURCE_DIR "/tests/reference/fields/2d/%s.json", name);
    field_plan *plan = field_plan_read(path, 2);
    earshot_element element[2 * FIELD_MAX_PARTS] = {0};
    es_geometry *geometry;
    assert_int_equal(es_geometry_new(plan->panel, plan->n_panels, NULL, 0, plan->prism, plan->n_prisms, &geometry),
                     EARSHOT_OK);
    const es_structure structure = structure_of(plan, geometry, element);
    for (size_t i = 0; i < 2; i++) {
        snprintf(path, sizeof path, EARSHOT_SOURCE_DIR "/tests/reference/fields/2d/%s_%s.csv", name, band[i].tail);
        const size_t n = field_points_read(path, 2, point);
        assert_true(n > 0);
        collect(&structure, band[i].frequency_hz, plan->source, point, n);
    }
    es_geometry_free(geometry);
    free(plan);
}

static int collect_all(void **state)
{
    (void)state;
    static const char *const name[] = {"s01", "s02", "s04", "s05", "s07", "s10"};
    for (size_t i = 0; i < sizeof name / sizeof name[0]; i++) collect_plan(name[i]);
    print_message("%-14s %6s %7s %7s %7s %7s %7s %14s\n", "on the line", "points", "bias", "RMSE", "s.d.", "5 %",
                  "95 %", "not dependable");
    for (int k = 0; k < KINDS; k++) {
        errors *e = &ERROR_OF[k];
        assert_true(e->n > 0);
        qsort(e->db, e->n, sizeof *e->db, by_value);
        print_message("%-14s %6zu %7.2f %7.2f %7.2f %7.2f %7.2f %12.1f %%\n", KIND[k], e->n, mean_db(e), rmse_db(e),
                      deviation_db(e), quantile_db(e, 0.05), quantile_db(e, 0.95), share_below(e));
    }
    return 0;
}

static void a_clear_line_is_well_known(void **state)
{
    (void)state;
    check_close(mean_db(&ERROR_OF[CLEAR]), 0.0, 1.5, "dB");
    assert_true(rmse_db(&ERROR_OF[CLEAR]) < 3.0);
}

static void through_walls_the_error_is_as_stated(void **state)
{
    (void)state;
    check_close(mean_db(&ERROR_OF[WALLS]), 0.0, 1.2, "dB");
    assert_true(rmse_db(&ERROR_OF[WALLS]) < 4.5);
    check_close(quantile_db(&ERROR_OF[WALLS], 0.95) / 1.645, 5.0, 0.05, "dB");
}

/* Behind metal the model sees only the leak it assumes, and the truth comes around the corner: it must err on the safe
 * side. */
static void behind_metal_it_is_pessimistic(void **state)
{
    (void)state;
    assert_true(mean_db(&ERROR_OF[OPAQUE]) < -15.0);
    assert_true(quantile_db(&ERROR_OF[OPAQUE], 0.95) < -5.0);
}

/* At 95 % no more than one point in twenty may be weaker than what was called dependable. */
static void the_dependable_level_is_dependable(void **state)
{
    (void)state;
    for (int k = 0; k < KINDS; k++) assert_true(share_below(&ERROR_OF[k]) <= 5.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_clear_line_is_well_known),
        cmocka_unit_test(through_walls_the_error_is_as_stated),
        cmocka_unit_test(behind_metal_it_is_pessimistic),
        cmocka_unit_test(the_dependable_level_is_dependable),
    };
    return cmocka_run_group_tests(tests, collect_all, NULL);
}
