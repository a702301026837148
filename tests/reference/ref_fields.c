/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rays model against full-wave fields (fields/README.md): the local mean at every point, with the default settings.
 * Prints bias, RMSE and the share of points within 5 dB for each field, and by how far the field lies below free space.
 * The bounds asserted are close to what is reached; docs/model/rays.md says where the model is worst and why. */
#include <stdio.h>
#include <stdlib.h>

#include "reference/field_plan.h"
#include "support/check.h"

enum { REGIONS = 4 };
static const double ABOVE_DB[REGIONS] = {-3.0, -10.0, -20.0, -INFINITY};

/* Errors of many points, model less truth. */
typedef struct tally {
    size_t n, near;
    double sum_db, squares, paths;
} tally;

static void count(tally *t, double error_db, size_t paths)
{
    t->n++;
    t->near += fabs(error_db) <= 5.0;
    t->sum_db += error_db;
    t->squares += error_db * error_db;
    t->paths += (double)paths;
}

static double bias_db(const tally *t)
{
    return t->sum_db / (double)t->n;
}

static double rmse_db(const tally *t)
{
    return sqrt(t->squares / (double)t->n);
}

static double near_share(const tally *t)
{
    return (double)t->near / (double)t->n;
}

static void print(const char *name, const tally *t)
{
    if (!t->n) return;
    printf("%-16s n %5zu  bias %+5.2f dB  rmse %5.2f dB  within 5 dB %5.1f %%  paths %4.0f\n", name, t->n, bias_db(t),
           rmse_db(t), 100.0 * near_share(t), t->paths / (double)t->n);
}

static es_rays_input input_of(const field_plan *plan)
{
    return (es_rays_input){.panel = plan->panel,
                           .n_panels = plan->n_panels,
                           .sheet = plan->sheet,
                           .n_sheets = plan->n_sheets,
                           .prism = plan->prism,
                           .n_prisms = plan->n_prisms,
                           .material = plan->material,
                           .n_materials = plan->n_materials};
}

/* Short upright elements have 1.5 times the gain of an isotropic antenna; the fields are over such elements. */
static double model_db(const es_rays_result *result, int dimensions)
{
    return 10.0 * log10(dimensions == 3 ? result->mean / 2.25 : result->mean);
}

static size_t region_of(double gain_db)
{
    size_t i = 0;
    while (gain_db < ABOVE_DB[i]) i++;
    return i;
}

/* Go through one field: its own tally, and that of each region of the model's gain. */
static tally judge(const char *name, int dimensions, double frequency_hz, const char *csv, tally regions[REGIONS])
{
    static field_point point[FIELD_MAX_POINTS];
    char path[512];
    snprintf(path, sizeof path, "%s/tests/reference/fields/%dd/%s.json", EARSHOT_SOURCE_DIR, dimensions, name);
    field_plan *plan = field_plan_read(path, dimensions);
    snprintf(path, sizeof path, "%s/tests/reference/fields/%dd/%s", EARSHOT_SOURCE_DIR, dimensions, csv);
    const size_t n = field_points_read(path, dimensions, point);
    const es_rays_input input = input_of(plan);
    es_rays_options options = es_rays_defaults(frequency_hz);
    options.space = dimensions == 3;
    const es_rays_antennas upright = {EARSHOT_ANTENNA_VERTICAL, EARSHOT_ANTENNA_VERTICAL};
    es_rays *rays;
    assert_int_equal(es_rays_new(&input, frequency_hz, plan->source, &options, &rays), EARSHOT_OK);
    es_rays_work *work = es_rays_work_new(rays);
    assert_non_null(work);
    tally all = {0};
    for (size_t i = 0; i < n; i++) {
        es_rays_result result;
        const earshot_vec3 p = {point[i].x_m, point[i].y_m, point[i].z_m};
        assert_int_equal(es_rays_at(rays, work, p, upright, &result), EARSHOT_OK);
        const double model = model_db(&result, dimensions);
        assert_true(isfinite(model));
        count(&all, model - point[i].gain_db, result.n_paths);
        count(&regions[region_of(model)], model - point[i].gain_db, result.n_paths);
    }
    es_rays_work_free(work);
    es_rays_free(rays);
    free(plan);
    return all;
}

static void add(tally *sum, const tally *t)
{
    sum->n += t->n;
    sum->near += t->near;
    sum->sum_db += t->sum_db;
    sum->squares += t->squares;
    sum->paths += t->paths;
}

static void print_regions(const tally regions[REGIONS])
{
    static const char *const NAME[REGIONS] = {"above -3 dB", "-3 .. -10 dB", "-10 .. -20 dB", "below -20 dB"};
    for (size_t i = 0; i < REGIONS; i++) print(NAME[i], &regions[i]);
}

static void test_plane_fields(void **state)
{
    (void)state;
    static const char *const NAME[] = {"s01", "s02", "s04", "s05", "s07", "s10"};
    tally sum = {0}, regions[REGIONS] = {{0}};
    double mean_square = 0.0;
    for (size_t i = 0; i < 12; i++) {
        char csv[32], shown[32];
        const bool high = i % 2;
        snprintf(csv, sizeof csv, "%s_%s.csv", NAME[i / 2], high ? "868" : "433");
        snprintf(shown, sizeof shown, "2d %s %s", NAME[i / 2], high ? "868" : "433");
        const tally t = judge(NAME[i / 2], 2, high ? 868.3e6 : 433.92e6, csv, regions);
        print(shown, &t);
        add(&sum, &t);
        mean_square += rmse_db(&t) * rmse_db(&t) / 12.0;
        assert_true(rmse_db(&t) < 3.5);
        assert_true(fabs(bias_db(&t)) < 2.0);
    }
    print("2d all", &sum);
    print_regions(regions);
    printf("each field counting the same: rmse %.2f dB\n", sqrt(mean_square));
    assert_true(fabs(bias_db(&sum)) < 0.4);
    assert_true(rmse_db(&sum) < 2.5);
    assert_true(near_share(&sum) > 0.935);
    assert_true(sqrt(mean_square) < 2.1);
}

/* One wall with a door seen at 17 degrees: each jamb is in the other's way. Brick, and metal, whose shadow is deepest
 * along the wall. */
static void test_door_at_a_small_angle(void **state)
{
    (void)state;
    tally regions[REGIONS] = {{0}};
    const tally low = judge("door_brick", 2, 433.92e6, "door_brick_433.csv", regions);
    const tally high = judge("door_brick", 2, 868.3e6, "door_brick_868.csv", regions);
    const tally metal = judge("door_metal", 2, 433.92e6, "door_metal_433.csv", regions);
    print("2d brick door 433", &low);
    print("2d brick door 868", &high);
    print("2d metal door 433", &metal);
    assert_true(rmse_db(&low) < 0.75);
    assert_true(rmse_db(&high) < 0.9);
    assert_true(rmse_db(&metal) < 1.7);
}

static void test_fields_in_space(void **state)
{
    (void)state;
    tally regions[REGIONS] = {{0}};
    const tally low = judge("g1_flat", 3, 433.92e6, "g1_flat_433.92.csv", regions);
    const tally high = judge("g1_flat", 3, 868.3e6, "g1_flat_868.3.csv", regions);
    tally sum = low;
    add(&sum, &high);
    print("3d flat 433", &low);
    print("3d flat 868", &high);
    print("3d all", &sum);
    print_regions(regions);
    assert_true(fabs(bias_db(&sum)) < 0.7);
    assert_true(rmse_db(&sum) < 2.4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_plane_fields),
        cmocka_unit_test(test_door_at_a_small_angle),
        cmocka_unit_test(test_fields_in_space),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
