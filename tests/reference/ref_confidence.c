/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is called dependable must be so: at every point of the reference fields the rays model's level less the
 * allowance that the program would make (fading by its own Rice factor, its own error by region) is held against the
 * true value at that very point. Of 95 % confident levels 93 to 97 % must hold. Materials are known exactly here, so no
 * spread of theirs is in the allowance. */
#include <stdio.h>
#include <stdlib.h>

#include "earshot/link.h"
#include "reference/field_plan.h"
#include "support/check.h"

enum { LEVELS = 3, FIELDS_2D = 12, FIELDS_3D = 2, REGIONS = 4 };
static const double CONFIDENCE[LEVELS] = {0.90, 0.95, 0.99};

/* For the print only: the regions of rays_field.c. */
static const double ABOVE_DB[REGIONS] = {-3.0, -10.0, -20.0, -INFINITY};

typedef struct tally {
    size_t n, held[LEVELS];
} tally;

static tally TOTAL[2], REGION[REGIONS];
static double FIELD_SHARE[2][LEVELS]; /* sums of the fields' shares */

/* The program's own judgement of a link whose materials are certain. */
static double allowance_db(double gain_db, double rice_k, double confidence)
{
    static const earshot_radio radio = {
        .name = "any", .sensitivity_dbm = -104.0, .bandwidth_hz = (double)NAN, .noise_figure_db = (double)NAN};
    const earshot_station end = {.radio = &radio};
    earshot_loss loss = {.loss_db = 70.0};
    earshot_link link;
    es_rays_doubt(gain_db, rice_k, &loss);
    assert_int_equal(earshot_link_judge(&end, &end, &loss, 868.3e6, (earshot_need){0.0, confidence}, &link),
                     EARSHOT_OK);
    return link.allowance_db;
}

static void count(tally *t, double gain_db, double rice_k, double truth_db)
{
    t->n++;
    for (size_t i = 0; i < LEVELS; i++)
        t->held[i] += truth_db >= gain_db - allowance_db(gain_db, rice_k, CONFIDENCE[i]);
}

static double share(const tally *t, size_t level)
{
    return 100.0 * (double)t->held[level] / (double)t->n;
}

static void print(const char *name, const tally *t)
{
    if (!t->n) return;
    printf("%-16s n %5zu  held of 90 %%: %5.1f  of 95 %%: %5.1f  of 99 %%: %5.1f %%\n", name, t->n, share(t, 0),
           share(t, 1), share(t, 2));
}

static es_rays *rays_of(const field_plan *plan, double frequency_hz, int dimensions)
{
    const es_rays_input input = {.panel = plan->panel,
                                 .n_panels = plan->n_panels,
                                 .sheet = plan->sheet,
                                 .n_sheets = plan->n_sheets,
                                 .prism = plan->prism,
                                 .n_prisms = plan->n_prisms,
                                 .material = plan->material,
                                 .n_materials = plan->n_materials};
    es_rays_options options = es_rays_defaults(frequency_hz);
    options.space = dimensions == 3;
    es_rays *rays;
    assert_int_equal(es_rays_new(&input, frequency_hz, plan->source, &options, &rays), EARSHOT_OK);
    return rays;
}

static void judge(const char *name, int dimensions, double frequency_hz, const char *csv)
{
    static field_point point[FIELD_MAX_POINTS];
    static const es_rays_antennas upright = {EARSHOT_ANTENNA_VERTICAL, EARSHOT_ANTENNA_VERTICAL};
    char path[512];
    snprintf(path, sizeof path, "%s/tests/reference/fields/%dd/%s.json", EARSHOT_SOURCE_DIR, dimensions, name);
    field_plan *plan = field_plan_read(path, dimensions);
    snprintf(path, sizeof path, "%s/tests/reference/fields/%dd/%s", EARSHOT_SOURCE_DIR, dimensions, csv);
    const size_t n = field_points_read(path, dimensions, point);
    es_rays *rays = rays_of(plan, frequency_hz, dimensions);
    es_rays_work *work = es_rays_work_new(rays);
    assert_non_null(work);
    tally all = {0};
    for (size_t i = 0; i < n; i++) {
        es_rays_result result;
        assert_int_equal(
            es_rays_at(rays, work, (earshot_vec3){point[i].x_m, point[i].y_m, point[i].z_m}, upright, &result),
            EARSHOT_OK);
        /* short elements have 1.5 times the gain of isotropic antennas; the fields are over such elements */
        const double gain_db = 10.0 * log10(dimensions == 3 ? result.mean / 2.25 : result.mean);
        size_t region = 0;
        while (gain_db < ABOVE_DB[region]) region++;
        count(&all, gain_db, result.rice_k, point[i].gain_point_db);
        count(&REGION[region], gain_db, result.rice_k, point[i].gain_point_db);
        count(&TOTAL[dimensions - 2], gain_db, result.rice_k, point[i].gain_point_db);
    }
    for (size_t i = 0; i < LEVELS; i++) FIELD_SHARE[dimensions - 2][i] += share(&all, i);
    print(csv, &all);
    es_rays_work_free(work);
    es_rays_free(rays);
    free(plan);
}

static int judge_all(void **state)
{
    (void)state;
    static const char *const NAME[] = {"s01", "s02", "s04", "s05", "s07", "s10"};
    for (size_t i = 0; i < FIELDS_2D; i++) {
        char csv[32];
        snprintf(csv, sizeof csv, "%s_%s.csv", NAME[i / 2], i % 2 ? "868" : "433");
        judge(NAME[i / 2], 2, i % 2 ? 868.3e6 : 433.92e6, csv);
    }
    judge("g1_flat", 3, 433.92e6, "g1_flat_433.92.csv");
    judge("g1_flat", 3, 868.3e6, "g1_flat_868.3.csv");
    print("2d all", &TOTAL[0]);
    print("3d all", &TOTAL[1]);
    printf("2d, each field counting the same: %.1f %.1f %.1f %%\n", FIELD_SHARE[0][0] / FIELDS_2D,
           FIELD_SHARE[0][1] / FIELDS_2D, FIELD_SHARE[0][2] / FIELDS_2D);
    static const char *const SHOWN[REGIONS] = {"above -3 dB", "-3 .. -10 dB", "-10 .. -20 dB", "below -20 dB"};
    for (size_t i = 0; i < REGIONS; i++) print(SHOWN[i], &REGION[i]);
    return 0;
}

static void links_called_dependable_at_95_percent_are(void **state)
{
    (void)state;
    check_close(share(&TOTAL[0], 1), 95.0, 2.0, "%");
    check_close(share(&TOTAL[1], 1), 95.0, 2.0, "%");
    check_close(FIELD_SHARE[0][1] / FIELDS_2D, 95.0, 2.0, "%");
}

/* No part of a house may pay for another: each region by itself. */
static void in_every_region(void **state)
{
    (void)state;
    for (size_t i = 0; i < REGIONS; i++) assert_true(share(&REGION[i], 1) > 92.5);
}

/* At 90 % the allowance is right, at 99 % a little too small: the errors have heavier tails than a normal distribution.
 */
static void other_levels_are_near(void **state)
{
    (void)state;
    for (size_t i = 0; i < 2; i++) {
        check_close(share(&TOTAL[i], 0), 90.0, 2.0, "%");
        check_close(share(&TOTAL[i], 2), 98.3, 0.9, "%");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(links_called_dependable_at_95_percent_are),
        cmocka_unit_test(in_every_region),
        cmocka_unit_test(other_levels_are_near),
    };
    return cmocka_run_group_tests(tests, judge_all, NULL);
}
