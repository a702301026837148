/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The field of one place: refusals, reciprocity, antenna patterns. */
#include "support/check.h"

#include "support/plans.h"

static const double F_HZ = 868.3e6;

static const char YARD[] = "plan 1\n" TEST_MATERIALS "storey ground level=0m height=2.6m\n"
                           "wall thick 3.1,-9 3.1,9\n"
                           "wall thin 5.7,-9 6.4,9\n"
                           "block tank 8,1 9,1 9,2 8,2 to=1.9m\n";

typedef struct yard {
    earshot_plan *plan;
    earshot_site *site;
} yard;

static int set_up(void **state)
{
    yard *y = calloc(1, sizeof *y);
    assert_non_null(y);
    y->plan = plan_of(YARD);
    y->site = site_of(y->plan, NULL);
    *state = y;
    return 0;
}

static int tear_down(void **state)
{
    yard *y = *state;
    earshot_site_free(y->site);
    earshot_plan_free(y->plan);
    free(y);
    return 0;
}

static double loss_db(const yard *y, earshot_vec3 a, earshot_antenna at_a, earshot_vec3 b, earshot_antenna at_b)
{
    earshot_field *field = NULL;
    earshot_loss loss;
    assert_int_equal(earshot_field_new(y->site, EARSHOT_MODEL_DIRECT, F_HZ, a, at_a, EARSHOT_DETAIL_LINK, &field),
                     EARSHOT_OK);
    assert_int_equal(earshot_field_at(field, b, at_b, &loss), EARSHOT_OK);
    earshot_field_free(field);
    return loss.loss_db;
}

static void test_free_space_and_walls(void **state)
{
    const yard *y = *state;
    const earshot_vec3 a = {0.7, 0.4, 1.3}, b = {7.3, 0.9, 1.9};
    const double d_m = sqrt(6.6 * 6.6 + 0.5 * 0.5 + 0.6 * 0.6);
    check_close(loss_db(*state, a, EARSHOT_ANTENNA_ISOTROPIC, b, EARSHOT_ANTENNA_ISOTROPIC),
                earshot_free_space_db(d_m, F_HZ) + 9.47 + 1.87, 1e-9, "dB");
    check_close(earshot_material_loss_db(y->site, material_named(y->plan, "thin"), F_HZ, NULL), 1.87, 1e-9, "dB");
}

static void test_swapped_ends_lose_the_same(void **state)
{
    uint64_t seed = 77003;
    for (int round = 0; round < 300; round++) {
        double r[6];
        for (size_t k = 0; k < 6; k++) {
            seed = seed * 6364136223846793005u + 1442695040888963407u;
            r[k] = (double)(seed >> 40) / (double)(1u << 24);
        }
        const earshot_vec3 a = {12 * r[0], 8 * r[1] - 4, 2.5 * r[2]}, b = {12 * r[3], 8 * r[4] - 4, 2.5 * r[5]};
        const earshot_antenna at_a = (earshot_antenna)(round % 7), at_b = (earshot_antenna)(round / 7 % 7);
        check_close(loss_db(*state, a, at_a, b, at_b), loss_db(*state, b, at_b, a, at_a), 0.0, "dB");
    }
}

/* Gain over isotropic towards a line at 35 degrees from the axis, by hand: short element 1.5 sin^2 = 0.49349, -3.0672
 * dB; half-wave dipole 1.64 (cos(90 deg x cos 35) / sin 35)^2 = 1.64 x (0.28027 / 0.57358)^2 = 0.39158, -4.0719 dB. At
 * right angles 1.7609 and 2.1484 dB. Along the axis the null is filled at -10 dB. */
static void test_patterns(void **state)
{
    const earshot_vec3 a = {0.5, 0.5, 0.5};
    const double d = 2.3, rad = 35.0 * acos(-1.0) / 180.0;
    const earshot_vec3 up = {0.5, 0.5, 2.3}, sideways = {0.5, 2.8, 0.5},
                       slanting = {0.5, 0.5 + d * sin(rad), 0.5 + d * cos(rad)};
    const earshot_antenna none = EARSHOT_ANTENNA_ISOTROPIC;
    const struct {
        earshot_antenna antenna;
        earshot_vec3 to;
        double gain_dbi;
    } row[] = {
        {EARSHOT_ANTENNA_VERTICAL, slanting, -3.0672},   {EARSHOT_ANTENNA_DIPOLE_VERTICAL, slanting, -4.0719},
        {EARSHOT_ANTENNA_VERTICAL, sideways, 1.7609},    {EARSHOT_ANTENNA_DIPOLE_VERTICAL, sideways, 2.1484},
        {EARSHOT_ANTENNA_VERTICAL, up, -10.0},           {EARSHOT_ANTENNA_DIPOLE_VERTICAL, up, -10.0},
        {EARSHOT_ANTENNA_HORIZONTAL_X, up, 1.7609},      {EARSHOT_ANTENNA_DIPOLE_X, sideways, 2.1484},
        {EARSHOT_ANTENNA_HORIZONTAL_Y, sideways, -10.0}, {EARSHOT_ANTENNA_DIPOLE_Y, sideways, -10.0},
        {EARSHOT_ANTENNA_DIPOLE_Y, up, 2.1484},          {EARSHOT_ANTENNA_HORIZONTAL_Y, up, 1.7609},
    };
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        const double plain_db = loss_db(*state, a, none, row[i].to, none);
        check_close(plain_db - loss_db(*state, a, row[i].antenna, row[i].to, none), row[i].gain_dbi, 5e-4, "dBi");
        check_close(plain_db - loss_db(*state, a, none, row[i].to, row[i].antenna), row[i].gain_dbi, 5e-4, "dBi");
    }
}

static void test_one_and_the_same_place_is_no_fault(void **state)
{
    const earshot_vec3 a = {0.5, 0.5, 0.5};
    assert_true(isfinite(loss_db(*state, a, EARSHOT_ANTENNA_DIPOLE_Y, a, EARSHOT_ANTENNA_VERTICAL)));
}

static void test_refuses(void **state)
{
    const yard *y = *state;
    const earshot_vec3 a = {0.7, 0.4, 1.3}, nowhere = {0.7, (double)NAN, 1.3};
    const earshot_antenna none = EARSHOT_ANTENNA_ISOTROPIC;
    earshot_field *field = NULL;
    assert_int_equal(earshot_field_new(y->site, EARSHOT_MODEL_DIRECT, 99e6, a, none, EARSHOT_DETAIL_LINK, &field),
                     EARSHOT_ARGUMENT);
    assert_null(field);
    assert_int_equal(earshot_field_new(y->site, EARSHOT_MODEL_DIRECT, 6.1e9, a, none, EARSHOT_DETAIL_LINK, &field),
                     EARSHOT_ARGUMENT);
    assert_int_equal(
        earshot_field_new(y->site, EARSHOT_MODEL_DIRECT, (double)NAN, a, none, EARSHOT_DETAIL_LINK, &field),
        EARSHOT_ARGUMENT);
    assert_int_equal(earshot_field_new(y->site, EARSHOT_MODEL_DIRECT, F_HZ, nowhere, none, EARSHOT_DETAIL_LINK, &field),
                     EARSHOT_ARGUMENT);
    assert_int_equal(earshot_field_new(y->site, (earshot_model)9, F_HZ, a, none, EARSHOT_DETAIL_LINK, &field),
                     EARSHOT_ARGUMENT);
    assert_int_equal(
        earshot_field_new(y->site, EARSHOT_MODEL_DIRECT, F_HZ, a, (earshot_antenna)7, EARSHOT_DETAIL_LINK, &field),
        EARSHOT_ARGUMENT);
    assert_int_equal(earshot_field_new(NULL, EARSHOT_MODEL_DIRECT, F_HZ, a, none, EARSHOT_DETAIL_LINK, &field),
                     EARSHOT_ARGUMENT);
    assert_int_equal(earshot_field_new(y->site, EARSHOT_MODEL_DIRECT, F_HZ, a, none, EARSHOT_DETAIL_LINK, &field),
                     EARSHOT_OK);
    earshot_loss loss = {.loss_db = 41.7};
    assert_int_equal(earshot_field_at(field, nowhere, none, &loss), EARSHOT_ARGUMENT);
    assert_int_equal(earshot_field_at(field, a, (earshot_antenna)-1, &loss), EARSHOT_ARGUMENT);
    check_close(loss.loss_db, 41.7, 0.0, "dB");
    earshot_field_free(field);
    earshot_field_free(NULL);
}

static void test_names_and_wrong_materials(void **state)
{
    const yard *y = *state;
    assert_string_equal(earshot_model_name(EARSHOT_MODEL_DIRECT), "direct");
    assert_string_equal(earshot_model_name(EARSHOT_MODEL_RAYS), "rays");
    assert_null(earshot_model_name((earshot_model)2));
    assert_true(isnan(earshot_material_loss_db(y->site, y->plan->n_materials, F_HZ, NULL)));
    assert_true(isnan(earshot_material_loss_db(y->site, 0, -1.0, NULL)));
    assert_true(isnan(earshot_material_loss_db(y->site, 0, (double)NAN, NULL)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_free_space_and_walls),
        cmocka_unit_test(test_swapped_ends_lose_the_same),
        cmocka_unit_test(test_patterns),
        cmocka_unit_test(test_one_and_the_same_place_is_no_fault),
        cmocka_unit_test(test_refuses),
        cmocka_unit_test(test_names_and_wrong_materials),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
