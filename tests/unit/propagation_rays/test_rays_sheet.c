/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rays_case.h"

#include <stdlib.h>

#include "propagation/slab.h"

static rays_table *table_of(size_t material, double frequency_hz)
{
    rays_table *table = malloc(sizeof *table);
    assert_non_null(table);
    es_rays_table_fill(table, &MATERIAL[material], frequency_hz);
    return table;
}

/* Worked values, from the formula itself by another program. */
static void test_worked_values(void **state)
{
    (void)state;
    rays_table *brick = table_of(BRICK_110, HZ_868), *concrete = table_of(CONCRETE_200, HZ_433);
    check_field(es_rays_t(brick, ES_TE, 1.0), -0.29081, -0.62202, 2e-5);
    check_field(es_rays_r(brick, ES_TE, 1.0), 0.28695, -0.27133, 2e-5);
    check_field(es_rays_t(brick, ES_TE, 0.5), -0.51975, -0.25069, 2e-5);
    check_field(es_rays_r(brick, ES_TE, 0.5), -0.07747, -0.46633, 2e-5);
    check_field(es_rays_t(concrete, ES_TE, 1.0), -0.39275, -0.37571, 2e-5);
    check_field(es_rays_r(concrete, ES_TE, 1.0), 0.19469, -0.44776, 2e-5);
    free(brick);
    free(concrete);
}

/* Between its steps a table is straight: by less than a thousandth for all materials of a house. */
static void test_interpolation_errs_less_than_a_thousandth(void **state)
{
    (void)state;
    for (size_t m = 0; m < N_MATERIALS; m++) {
        rays_table *table = table_of(m, HZ_868);
        for (double cosine = 0.0007; cosine < 1.0; cosine += 0.00137) {
            double complex t[2], r[2];
            es_slab_coefficients(&MATERIAL[m], HZ_868, cosine, t, r);
            for (int p = ES_TE; p <= ES_TM; p++) {
                check_close(cabs(es_rays_t(table, p, cosine) - t[p]), 0.0, 1e-3, "of t");
                check_close(cabs(es_rays_r(table, p, cosine) - r[p]), 0.0, 1e-3, "of r");
            }
        }
        free(table);
    }
}

static void test_bounds_hold(void **state)
{
    (void)state;
    rays_table *table = table_of(GLASS_8, HZ_868);
    for (double cosine = 0.01; cosine < 1.0; cosine += 0.0173)
        for (double other = cosine; other < 1.0; other += 0.0173)
            assert_true(cabs(es_rays_r(table, ES_TE, other)) <= es_rays_r_bound(table, cosine) + 1e-9);
    free(table);
}

/* A level ray meets an upright wall in TE alone; a ray in the wall's plane of the normal, however steep, in TM. */
static void test_components_mix_with_the_climb(void **state)
{
    (void)state;
    rays_table *brick = table_of(BRICK_110, HZ_433);
    const rays_climb level = {1.0, 0.0}, steep = {0.8, 0.6};
    assert_true(es_rays_wall_t(brick, RAYS_UPRIGHT, 0.37, level) == es_rays_t(brick, ES_TE, 0.37));
    const double complex tm = es_rays_t(brick, ES_TM, 0.8);
    check_close(cabs(es_rays_wall_t(brick, RAYS_UPRIGHT, 1.0, steep) - tm), 0.0, 1e-12, "of t");
    check_close(cabs(es_rays_wall_r(brick, RAYS_UPRIGHT, 1.0, steep) + es_rays_r(brick, ES_TM, 0.8)), 0.0, 1e-12,
                "of r");
    free(brick);
}

/* Both components of a field along a conductor vanish: upright is turned round, level is kept, at any angle and climb.
 */
static void test_conductor_reflects_both_components(void **state)
{
    (void)state;
    rays_table *metal = table_of(CONDUCTOR, HZ_433);
    const rays_climb steep = {0.8, 0.6};
    check_field(es_rays_wall_r(metal, RAYS_UPRIGHT, 0.43, steep), -1.0, 0.0, 1e-12);
    check_field(es_rays_wall_r(metal, RAYS_LEVEL, 0.43, steep), 1.0, 0.0, 1e-12);
    free(metal);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_worked_values),
        cmocka_unit_test(test_interpolation_errs_less_than_a_thousandth),
        cmocka_unit_test(test_bounds_hold),
        cmocka_unit_test(test_components_mix_with_the_climb),
        cmocka_unit_test(test_conductor_reflects_both_components),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
